#pragma once

#include "Families/Family.h"

#include <cstdint>

namespace volvelle {

/// A family computed from simple formulas: an invented two-way unit, 70 positions, 1/12-octave grid from 20
/// Hz to 20 kHz.
Family inventedFamily();

/// The same with everything varied by chance: levels, slopes, indices, gaps, missing curves, long and strange
/// names, notes.
Family randomFamily(std::uint64_t seed);

/// A family of which nothing is known but why.
Family emptyFamily();

}  // namespace volvelle
