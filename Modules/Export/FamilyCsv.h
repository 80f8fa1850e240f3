#pragma once

#include "Families/Family.h"

#include <string>

namespace volvelle {

/// The family as CSV: `#` lines (program, run, unit, drive, axis, level, units, recipe, validity, polarity,
/// how derived curves are made, what is missing and why, notes), a header row, one row for each frequency
/// (see familyColumns). LF; a point as decimal mark whatever the locale. Nothing in it tells of time or
/// place: equal families give equal bytes.
std::string familyCsv(const Family& family);

}  // namespace volvelle
