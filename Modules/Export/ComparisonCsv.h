#pragma once

#include "Comparison/Comparison.h"

#include <string>

namespace volvelle {

/// Runs against each other as CSV: `#` lines with the runs and their letters, drive, level, alignment,
/// polarity, recipe, validity, remarks, what is missing and why; then one row for each frequency of each
/// curve, then of each position, columns `kind,name,frequency_hz,a_db,b_db ...,b_minus_a_db ...`. kind is
/// `curve` or `position` (the unit's directions). 4 decimals; empty where not known, differences also outside
/// the band in which all runs are valid. LF, a point as decimal mark.
std::string comparisonCsv(const Comparison& comparison);

}  // namespace volvelle
