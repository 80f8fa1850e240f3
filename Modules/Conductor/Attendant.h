#pragma once

#include <stop_token>
#include <string>

namespace volvelle {

/// The person at the chamber's door, or what stands in for one. Called by the conductor's thread.
class Attendant {
public:
    virtual ~Attendant() = default;

    /// What is asked of the attendant.
    enum class Errand { layOnSide, setUpright, other };

    /// Asks for something to be done and blocks until the attendant says that it is. False: the attendant
    /// would not, or a stop was asked for.
    virtual bool ask(Errand errand, const std::string& request, std::stop_token stop) = 0;
};

}  // namespace volvelle
