#pragma once

#include "Export/Comments.h"
#include "Families/PositionResponses.h"

#include <string>

namespace volvelle {

/// Responses of single positions as CSV: `#` lines (origin, level, phase, recipe, validity, doubtful captures
/// with their reasons, notes), the header `frequency_hz,position,level_db,phase_deg`, then position after
/// position, one row for each frequency. Levels with 4 decimals, phases with 3; empty where not known. LF, a
/// point as decimal mark. The origin's drive is that of the responses.
std::string responsesCsv(const TableOrigin& origin, const PositionResponses& found);

}  // namespace volvelle
