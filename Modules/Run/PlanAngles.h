#pragma once

#include "Run/Plan.h"
#include "Sphere/AngleSet.h"

#include <string>

namespace volvelle {

/// The angle set that a plan names, or the CSV that it names (relative to the folder of planPath). Throws
/// Error{input} at planPath where neither is stated, where the name is not known and where the table cannot
/// reach the set, and as angleSetFromCsv does.
AngleSet angleSetOf(const Plan& plan, const std::string& planPath);

}  // namespace volvelle
