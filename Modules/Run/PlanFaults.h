#pragma once

#include "Run/Plan.h"
#include "Text/Error.h"

#include <string>
#include <vector>

namespace volvelle {

/// With less of it, hardly anything of the unit's decay is recorded.
constexpr double shortestUsefulDecayS = 0.05;

/// What keeps a plan that was read from being carried out, each Error{input} with source and JSON pointer:
/// what a run needs and the plan does not state (distance, what full scale means, drives, output channels),
/// channels used twice, sweeps beyond the limits of their sections, an angle set that is not known or that
/// the table cannot reach. Empty where it can be carried out, as far as the plan alone tells. planPath: also
/// where a file of positions is looked for.
std::vector<Error> faultsOf(const Plan& plan, const std::string& planPath);

/// What a plan leaves open and results will lack or be less sure of: sentences without a full stop.
std::vector<std::string> openMattersOf(const Plan& plan);

}  // namespace volvelle
