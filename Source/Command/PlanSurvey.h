#pragma once

#include "Run/Plan.h"

#include <string>

namespace volvelle {

/// What a plan that can be carried out will do and take, in lines of 80 columns: positions, sweeps, duration,
/// size, room where the run would lie (runPath), far field, what is not stated, cautions. planPath: where the
/// plan is. Throws Error{input} for a simulation that cannot be.
std::string planSurvey(const Plan& plan, const std::string& planPath, const std::string& runPath);

}  // namespace volvelle
