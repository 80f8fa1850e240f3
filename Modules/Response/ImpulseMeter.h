#pragma once

#include "Response/Corrections.h"
#include "Response/ImpulseSource.h"
#include "Response/WindowedSpectrum.h"

#include <complex>
#include <optional>
#include <span>
#include <vector>

namespace volvelle {

/// Pressures in Pa at 1 m, for the reference input, of circular impulses of one drive at given frequencies
/// (growing): windows, transforms and corrections together. Thread-safe with a workspace for each thread. The
/// source must outlive it.
class ImpulseMeter {
public:
    ImpulseMeter(const ImpulseSource& source, const RunRecord& run, const DriveRecord& drive,
                 const ResolvedRecipe& recipe, std::vector<double> frequenciesHz);

    const std::vector<double>& frequencyHz() const { return frequenciesHz_; }
    const std::vector<std::string>& notes() const { return corrections_.notes(); }

    struct Workspace {
        explicit Workspace(const ImpulseMeter& meter);
        WindowedSpectrum::Workspace spectrum;
        std::vector<float> stretch;
        std::vector<std::complex<double>> noise;
    };

    /// Phases against time zero, propagation included.
    void pressure(std::span<const float> circularImpulse, const Capture& capture, Workspace& w,
                  std::span<std::complex<double>> out) const;

    /// Expected squared pressure of the noise in it: that of a quiet stretch of the same length, as a mean
    /// over third octaves. False where there is no such stretch.
    bool noisePower(std::span<const float> circularImpulse, const Capture& capture, Workspace& w,
                    std::span<double> out) const;

private:
    void measure(std::span<const float> circularImpulse, const Stretch& stretch, const Capture& capture,
                 Workspace& w, std::span<std::complex<double>> out) const;

    WindowedSpectrum spectrum_;
    Corrections corrections_;
    std::optional<Stretch> quiet_;
    std::vector<double> frequenciesHz_;
};

/// A stretch as long as `wanted` in which a drive's circular impulses hold nothing but noise: ahead of the
/// sixth harmonic of a recognised sweep, else at the end of the positive times. Nothing where there is no
/// room.
std::optional<Stretch> quietStretch(const ImpulseSource& impulses, const Stretch& wanted);

}  // namespace volvelle
