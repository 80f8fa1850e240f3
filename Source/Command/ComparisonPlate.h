#pragma once

#include "Comparison/Comparison.h"
#include "Figures/Overlay.h"

namespace volvelle {

/// Most runs that can be drawn over each other.
constexpr std::size_t mostDrawnRuns = 6;

/// The main curves of the runs over each other, and their differences.
OverlayPlate comparisonPlate(const Comparison& comparison);

}  // namespace volvelle
