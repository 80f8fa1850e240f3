#pragma once

#include "Chamber/Scene.h"
#include "Signal/Aligned.h"

#include <complex>
#include <cstddef>
#include <deque>
#include <optional>
#include <span>
#include <vector>

namespace volvelle {

/// Spectrum of a real signal of `length` samples (RealTransform).
using ChamberSpectrum = AlignedVector<std::complex<double>>;

/// The accelerations of a unit's drivers for what is played, driver's filter and nonlinearity included. Keeps
/// those of the signals met last: a run plays few, many times. What it returns stays valid while as many
/// other signals are asked for as there are drivers. Not thread-safe.
class DriverSound {
public:
    DriverSound(std::vector<SceneDriver> drivers, double sampleRateHz, double voltsPerFullScale);

    /// Spectrum of the samples at full scale 1.0, padded with silence to `length` (even, at least as many).
    const ChamberSpectrum& signal(std::span<const float> samples, std::size_t length);

    /// Spectrum of one driver's acceleration in m/s² for them. The nonlinearity is computed at twice the
    /// sample rate, so that what it makes above half the rate does not fold back.
    const ChamberSpectrum& acceleration(std::size_t driver, std::span<const float> samples,
                                        std::size_t length);

private:
    struct Played {
        std::vector<float> samples;
        std::size_t length;
        ChamberSpectrum spectrum;
        std::vector<std::optional<ChamberSpectrum>> accelerations;
    };

    Played& played(std::span<const float> samples, std::size_t length);
    ChamberSpectrum accelerated(const SceneDriver& driver, const Played& played) const;

    std::size_t mostKept() const { return 2 * drivers_.size() + 4; }

    std::vector<SceneDriver> drivers_;
    double sampleRateHz_, voltsPerFullScale_;
    std::deque<Played> kept_;
};

}  // namespace volvelle
