#pragma once

#include "Run/ReadableRun.h"
#include "Signal/Aligned.h"
#include "Signal/Deconvolution.h"

#include <complex>
#include <cstddef>
#include <optional>
#include <span>

namespace volvelle {

/// Impulse responses of one drive of a sealed run, made of its captures one at a time. Recordings are
/// deconvolved; impulse responses are taken as they are, with silence at negative times. Thread-safe; the run
/// must outlive it.
class ImpulseSource {
public:
    /// Throws Error{input} for drives of text responses.
    ImpulseSource(const ReadableRun& run, std::size_t drive);

    std::size_t length() const { return length_; }  ///< of circular impulses: negative times lie at the end
    double sampleRateHz() const { return sampleRateHz_; }
    const Deconvolution* deconvolution() const { return deconvolution_ ? &*deconvolution_ : nullptr; }
    /// Of the filter that the impulses have gone through: to be divided out.
    std::complex<double> shape(double frequencyHz) const;
    /// The band in which they tell something.
    Band band() const;

    /// Memory for one thread.
    struct Workspace {
        explicit Workspace(const ImpulseSource& source);
        AlignedVector<float> samples, impulse;
        std::optional<Deconvolution::Workspace> deconvolution;
    };

    /// The impulse of a capture in full scale per full scale, valid until the workspace's next use.
    std::span<const float> impulse(std::size_t capture, Workspace& w) const;

private:
    const ReadableRun& run_;
    std::size_t drive_;
    std::size_t samplesPerChannel_, channels_, microphone_;
    std::optional<std::size_t> loopback_;
    double sampleRateHz_;
    std::optional<Deconvolution> deconvolution_;
    std::size_t length_;
};

}  // namespace volvelle
