#pragma once

#include <span>
#include <vector>

namespace volvelle {

/// Means of squared magnitudes over 1/fraction octave about each wanted frequency, rectangular in logarithmic
/// frequency, of a curve that is linear between the points of its grid (growing, at least two, power.size()
/// values). fraction 0 copies (wanted must then be the grid itself). At the ends of the grid the band is cut
/// symmetrically, so that a constant slope stays; wanted frequencies beyond the grid take its end values.
std::vector<double> smoothedPower(std::span<const double> frequenciesHz, std::span<const double> power,
                                  int fraction, std::span<const double> wantedHz);

}  // namespace volvelle
