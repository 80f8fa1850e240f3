#pragma once

#include "Signal/Aligned.h"
#include "Signal/FourierTransform.h"

#include <array>
#include <complex>
#include <cstddef>
#include <span>
#include <vector>

namespace volvelle {

/// Spectrum of a short real signal at any frequencies, to about 1e-7 of its largest value, and to 4e-7 where
/// all of the signal lies at one of its ends (which windows fade): the signal is divided by the transform of
/// a compact kernel, transformed at twice its length or more, and gathered with that kernel (the method of
/// Dutt & Rokhlin, SIAM J. Sci. Comput. 14, 1993, with a Kaiser-Bessel kernel of eight bins).
class SpectrumSampler {
public:
    /// frequenciesHz: 0 ... sampleRateHz / 2. supportLength: samples of the signal, at least 1. Throws
    /// Error{bug} otherwise.
    SpectrumSampler(std::span<const double> frequenciesHz, double sampleRateHz, std::size_t supportLength);

    std::size_t transformLength() const { return transform_.size(); }
    std::size_t supportLength() const { return correction_.size(); }
    std::size_t frequencyCount() const { return firstBin_.size(); }

    /// Memory for one thread.
    class Workspace {
    public:
        explicit Workspace(const SpectrumSampler& sampler);
        /// Where signal · correction() goes before transformAndGather: supportLength() values; what lies
        /// behind stays zero.
        std::span<double> signal() { return std::span(padded_).first(support_); }

    private:
        friend class SpectrumSampler;
        std::size_t support_;
        AlignedVector<double> padded_;
        AlignedVector<std::complex<double>> spectrum_;  ///< with kernelBins mirrored bins on either side
    };

    /// The weights by which the signal has to be multiplied beforehand, to be merged with a window.
    /// supportLength() values.
    std::span<const double> correction() const { return correction_; }

    /// out: Σ x[n] e^(-jωn), one value for each frequency, phases referred to sample 0 of the signal.
    /// Thread-safe.
    void transformAndGather(Workspace& w, std::span<std::complex<double>> out) const;

    /// The whole thing for a plain signal of supportLength() samples.
    void operator()(std::span<const double> signal, Workspace& w, std::span<std::complex<double>> out) const;

private:
    static constexpr int kernelBins = 8;

    RealTransform<double> transform_;
    std::vector<double> correction_;
    std::vector<std::size_t> firstBin_;    ///< of each frequency's kernel, counted from -kernelBins
    std::size_t highestBin_ = kernelBins;  ///< that any kernel needs
    std::vector<std::array<double, kernelBins>> kernel_;
    std::vector<std::complex<double>> turn_;  ///< brings the phase back to sample 0
};

}  // namespace volvelle
