#pragma once

#include "Families/PositionResponses.h"

#include <string>
#include <vector>

namespace volvelle {

/// Responses of single positions as CSV: the comments as `#` lines, the header
/// `frequency_hz,position,level_db,phase_deg`, then position after position, one row for each frequency.
/// Levels with 4 decimals, phases with 3; empty where not known. LF, a point as decimal mark.
std::string responsesCsv(const std::vector<std::string>& comments, const std::vector<double>& frequencyHz,
                         const std::vector<PositionResponse>& responses);

}  // namespace volvelle
