#pragma once

#include <span>
#include <vector>

namespace volvelle {

/// Mean squared sample value in each judged octave of a stretch of steady noise (Welch's method, Hann windows
/// of up to 0.4 s, the mean removed). Not a number for octaves that the stretch is too short to resolve, and
/// for all where it is under 0.1 s.
std::vector<double> octavePowers(std::span<const float> samples, double sampleRateHz);

/// Shortest stretch in seconds that octavePowers makes something of.
constexpr double shortestNoiseS = 0.1;

}  // namespace volvelle
