#pragma once

#include "Run/RunRecord.h"

#include <string>

namespace volvelle {

/// What judging found, for a terminal of 80 columns: a table of the drives, the noise per octave, and the
/// captures that are doubtful with the reasons.
std::string qualityReport(const RunRecord& run);

/// Every capture of every drive, one row each, within 80 columns.
std::string captureTable(const RunRecord& run);

/// A sentence broken into lines of at most 80 columns, later ones indented; ends with a line feed.
std::string wrapped(const std::string& sentence);

}  // namespace volvelle
