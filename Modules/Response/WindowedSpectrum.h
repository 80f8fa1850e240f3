#pragma once

#include "Response/ResolvedRecipe.h"
#include "Signal/SpectrumSampler.h"
#include "Signal/Window.h"

#include <complex>
#include <optional>
#include <span>
#include <vector>

namespace volvelle {

/// A stretch of an impulse response: sample numbers first ... first + length - 1 after time zero (first may
/// be negative).
struct Stretch {
    std::ptrdiff_t first = 0;
    std::size_t length = 0;
};

/// Spectra of windowed impulses at given frequencies: one window, or two with a real cross-fade whose weights
/// add up to one. Made once for all positions and drives of one sample rate; thread-safe.
class WindowedSpectrum {
public:
    /// frequenciesHz: 0 < f <= sampleRateHz / 2.
    WindowedSpectrum(const ResolvedRecipe& recipe, std::span<const double> frequenciesHz,
                     double sampleRateHz);

    const Stretch& stretch() const { return stretch_; }  ///< what of an impulse the windows need
    std::size_t frequencyCount() const { return frequencyCount_; }
    double sampleRateHz() const { return sampleRateHz_; }

    class Workspace {
    public:
        explicit Workspace(const WindowedSpectrum& spectrum);

    private:
        friend class WindowedSpectrum;
        SpectrumSampler::Workspace main_;
        std::optional<SpectrumSampler::Workspace> low_;
        std::vector<std::complex<double>> lowSpectrum_;
    };

    /// impulse: stretch().length samples from stretch().first on. out: Σ h[n] e^(-jωn/fs), phases referred to
    /// time zero, one value for each frequency.
    void operator()(std::span<const float> impulse, Workspace& w, std::span<std::complex<double>> out) const;

private:
    /// One window with the frequencies at which it has a say.
    struct Part {
        Part(const Window& window, std::span<const double> frequenciesHz, std::span<const double> share,
             std::size_t firstFrequency, double sampleRateHz);
        void spectrum(std::span<const float> impulse, std::ptrdiff_t impulseFirst,
                      SpectrumSampler::Workspace& w, std::span<std::complex<double>> out) const;

        SampledWindow window;  ///< weights times the sampler's correction
        SpectrumSampler sampler;
        std::size_t firstFrequency;
        std::vector<std::complex<double>>
            turn;  ///< share · phase from the window's first sample to time zero
    };

    static Part mainPart(const ResolvedRecipe& recipe, std::span<const double> frequenciesHz, double rate);
    static std::optional<Part> lowPart(const ResolvedRecipe& recipe, std::span<const double> frequenciesHz,
                                       double rate);

    std::size_t frequencyCount_;
    double sampleRateHz_;
    Part main_;
    std::optional<Part> low_;
    Stretch stretch_;
};

/// The low window's share at a frequency: 1 below the cross-fade, 0 above it, a raised cosine in logarithmic
/// frequency between.
double lowWindowShare(const Recipe& recipe, double frequencyHz);

/// Copies a stretch out of a circular impulse whose negative times lie at its end.
void copyStretch(std::span<const float> circularImpulse, const Stretch& stretch, std::span<float> out);

}  // namespace volvelle
