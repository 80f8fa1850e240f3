#pragma once

#include "Families/Family.h"
#include "Response/Pressures.h"

#include <cstddef>

namespace volvelle {

/// Phase (degrees, -180 ... 180, against time zero) and group delay (seconds) of one position on the family's
/// grid. nearby: the same drive's pressures at frequencies f(1 - d), f(1 + d) of each grid point in turn,
/// from which the group delay is taken as the difference of phases about the arrival.
void addPhase(Family& family, Pressures& atGrid, Pressures& nearby, std::size_t position, double arrivalS);

/// The frequencies that `nearby` has to have.
std::vector<double> nearbyFrequencies(const std::vector<double>& gridHz, double highestHz);

/// The impulse of a capture about its window, for drawing: from 5 ms before the earliest window to half as
/// long again.
WindowedImpulse drawnImpulse(std::span<const float> circularImpulse, double sampleRateHz, double scale,
                             const ResolvedRecipe& recipe);

}  // namespace volvelle
