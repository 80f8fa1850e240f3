#pragma once

#include "Families/Family.h"
#include "Response/Pressures.h"

#include <cstddef>

namespace volvelle {

/// A frequency just below each of a grid, itself, and one just above, in turn; none above highestHz.
std::vector<double> withNeighbours(const std::vector<double>& gridHz, double highestHz);

/// Phase (degrees, -180 ... 180, against time zero) and group delay (seconds) on the family's grid.
/// pressure: at frequenciesHz = withNeighbours(grid); the group delay is the difference of the neighbours'
/// phases about the arrival.
void addPhase(Family& family, std::span<const double> frequenciesHz,
              std::span<const std::complex<double>> pressure, double arrivalS);

/// The impulse of a capture about its window, for drawing: from 5 ms before the earliest window to half as
/// long again, but not beyond recordedToS (after time zero) where the windows end before.
WindowedImpulse drawnImpulse(std::span<const float> circularImpulse, double sampleRateHz, double recordedToS,
                             const ResolvedRecipe& recipe);

}  // namespace volvelle
