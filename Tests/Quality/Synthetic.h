#pragma once

#include "Run/RunRecord.h"
#include "Signal/Excitation.h"

#include <complex>
#include <cstdint>
#include <functional>
#include <vector>

namespace volvelle::synthetic {

/// A frequency response in Pa/V.
using Response = std::function<std::complex<double>(double frequencyHz)>;

/// A recording of a sweep of amplitude 0.5 through a known system, made sample by sample from formulas.
struct Scene {
    double rate = 48000;
    double beginS = 0.25;  ///< silence ahead of the sweep in the excitation's file
    double sweepS = 3;
    double tailS = 0.5;  ///< recorded after the sweep
    double lowHz = 20, highHz = 20000;
    double pascalPerFullScale = 2;

    ExponentialSweep sweep() const;
    std::size_t samples() const;
    std::vector<float> excitation() const;
    /// The sweep through a response, in sample values. secondHarmonic: its amplitude relative to the
    /// excitation's, made where it stays below 0.45 of the rate.
    std::vector<double> through(const Response& response, double secondHarmonic = 0) const;
    DriveRecord drive(bool loopback = false) const;
    Calibration calibration() const;
};

constexpr double amplitude = 0.5;

/// Response that gives a sweep of amplitude 0.5 V this sound pressure level; delayed.
Response delayed(double levelDb, double delayS);

/// Standard deviation in sample values of white noise of a level in dB SPL.
double noiseDeviation(const Scene& scene, double levelDb);
void addNoise(std::vector<double>& samples, double deviation, std::uint64_t seed);

struct Recorded {
    std::vector<float> samples;
    std::vector<std::int32_t> raw;  ///< 24 bits, left-justified
};
/// Rounds to 24 bits; clips.
Recorded recorded(const std::vector<double>& samples);

}  // namespace volvelle::synthetic
