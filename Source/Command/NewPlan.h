#pragma once

#include <string>
#include <vector>

namespace volvelle {

struct NewPlanOptions {
    std::string angles = "two-orbits-10";
    std::string model;  ///< of the unit; empty: to be filled in
    std::vector<std::string> sections{"whole"};
    bool hasTilt = false;
};

/// A commented plan whose lines marked FILL IN are to be completed and uncommented; then it can be carried
/// out. Throws Error{usage} for an angle set or a section's name that cannot be.
std::string newPlan(const NewPlanOptions& options);

}  // namespace volvelle
