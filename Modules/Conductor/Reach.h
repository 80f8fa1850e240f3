#pragma once

#include "Conductor/Itinerary.h"
#include "turntable/Turntable.h"

#include <vector>

namespace volvelle {

/// Before anything moves: throws Error{input} that names the first position beyond the limits that the table itself
/// states, or that needs a tilt axis which it does not have.
void requireReach(const std::vector<Leg>& legs, const TableFacts& table);

}  // namespace volvelle
