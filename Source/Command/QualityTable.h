#pragma once

#include "Run/RunRecord.h"

#include <string>
#include <vector>

namespace volvelle {

/// What judging found, for a terminal of 80 columns: a table of the drives, the noise per octave, and the
/// captures that are doubtful with the reasons, those that differ in numbers only together.
std::string qualityReport(const RunRecord& run);

/// Every capture of every drive, one row each, within 80 columns; below it why it is doubtful or superseded,
/// and what the manifest noted of it.
std::string captureTable(const RunRecord& run);

/// What taking recordings in has found: the quality report, the remarks, the warnings.
std::string ingestReport(const RunRecord& run, const std::vector<std::string>& remarks,
                         const std::vector<std::string>& warnings);

}  // namespace volvelle
