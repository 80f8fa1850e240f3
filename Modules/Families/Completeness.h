#pragma once

#include "Run/RunRecord.h"

#include <string>

namespace volvelle {

/// Which curves of CTA-2034-A a drive's captures suffice for, in words: "all curves, from two orbits of 10°",
/// or the number that cannot be made and the positions that they lack.
std::string completeness(const RunRecord& run, const DriveRecord& drive);

}  // namespace volvelle
