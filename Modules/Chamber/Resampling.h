#pragma once

#include "Chamber/DriverSound.h"

#include <cstddef>
#include <vector>

namespace volvelle {

/// The first `count` samples of a real signal given by its spectrum of `length` samples, read with a clock
/// that runs `ppm` millionths faster than the one it was made with: sample n is the signal at n (1 - ppm
/// 1e-6). To 2e-5 of a component at half the rate, 3e-8 an octave below.
std::vector<double> resampled(const ChamberSpectrum& spectrum, std::size_t length, double ppm,
                              std::size_t count);

}  // namespace volvelle
