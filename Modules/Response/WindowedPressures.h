#pragma once

#include "Response/Pressures.h"

#include <optional>
#include <vector>

namespace volvelle {

/// Pressures through windows, straight from the captures of a sealed run; memory does not grow with them.
class WindowedPressures final : public Pressures {
public:
    WindowedPressures(const SealedRun& run, std::size_t drive, const ResolvedRecipe& recipe,
                      std::vector<double> frequenciesHz);

    void prepare(int workers) override;
    void at(std::size_t position, int worker, std::span<std::complex<double>> out) override;
    void noisePower(std::size_t position, int worker, std::span<double> out) override;

    const ImpulseSource& impulses() const { return impulses_; }

private:
    struct Workspace {
        explicit Workspace(const WindowedPressures& p);
        ImpulseSource::Workspace impulse;
        WindowedSpectrum::Workspace spectrum;
        std::vector<float> stretch;
        std::vector<std::complex<double>> other;  ///< of further captures of the position, and of noise
        std::span<const float> last;              ///< impulse that at() used last
    };

    void spectrumOf(std::size_t capture, Workspace& w, std::span<std::complex<double>> out) const;

    const DriveRecord& record_;
    ImpulseSource impulses_;
    WindowedSpectrum spectrum_;
    Corrections corrections_;
    std::vector<Workspace> workspaces_;
};

/// A stretch as long as `wanted` in which a drive's circular impulses hold nothing but noise: ahead of the
/// sixth harmonic of a recognised sweep, else at the end of the positive times. Nothing where there is no
/// room.
std::optional<Stretch> quietStretch(const ImpulseSource& impulses, const Stretch& wanted);

}  // namespace volvelle
