#pragma once

#include "Sections/Interaction.h"

#include <string>

namespace volvelle {

/// A combined drive against the sum of its sections as CSV: `#` lines with origin, level, settings of the
/// sum, recipe, validity, what the floor is made of, what is missing and why; then one row for each frequency
/// of each curve, then of each position, columns
/// `kind,name,frequency_hz,whole_db,whole_deg,sum_db,sum_deg,power_sum_db,difference_re_loudest_db,
/// floor_re_loudest_db,level_difference_db,phase_difference_deg`. kind is `curve` (name `listening_window`)
/// or `position` (`horizontal:50`, in the unit's directions). Levels with 4 decimals, phases with 3; empty
/// where not known. LF, a point as decimal mark.
std::string sectionsCsv(const Interaction& interaction);

}  // namespace volvelle
