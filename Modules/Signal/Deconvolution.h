#pragma once

#include "Signal/Aligned.h"
#include "Signal/Excitation.h"
#include "Signal/FourierTransform.h"

#include <complex>
#include <cstddef>
#include <optional>
#include <span>

namespace volvelle {

/// What limits an impulse response to the excitation's band: a causal high-pass (Butterworth, fourth order,
/// an octave below the band), so that nothing of the limit lies ahead of an arrival, and a zero-phase taper
/// above the band. It is known in closed form and is divided out after windowing.
class BandShape {
public:
    BandShape(const Band& band, double sampleRateHz);
    std::complex<double> at(double frequencyHz) const;

private:
    double cornerHz_, taperFromHz_, taperToHz_;
};

/// Turns recordings of an excitation into impulse responses, within the excitation's band.
/// Impulses are circular: index 0 is time zero, negative times (harmonics) lie at the end.
class Deconvolution {
public:
    /// excitation: samples at full scale 1.0 (a file that starts at time zero); recordingLength: samples of
    /// each recording. Throws Error{input} for a silent excitation.
    Deconvolution(std::span<const float> excitation, double sampleRateHz, std::size_t recordingLength);

    std::size_t length() const { return transform_.size(); }  ///< of the impulses; at least recordingLength
    double sampleRateHz() const { return sampleRateHz_; }
    const Band& band() const { return band_; }
    const std::optional<ExponentialSweep>& sweep() const { return sweep_; }
    const BandShape& shape() const { return shape_; }

    /// Memory for one thread.
    struct Workspace {
        explicit Workspace(const Deconvolution& d);
        AlignedVector<float> padded;
        AlignedVector<std::complex<float>> response, reference;
    };

    /// impulse (length() values, 64-byte aligned): recording / excitation, shaped. With a loopback (else
    /// empty) its samples take the excitation's place. Times pascal per full scale over volts per full scale
    /// it is in Pa/V per sample. Thread-safe.
    void impulse(std::span<const float> recording, std::span<const float> loopback, Workspace& w,
                 std::span<float> impulse) const;

    /// Delay of the excitation within a loopback recording in seconds, to a fraction of a sample.
    /// Thread-safe.
    double delayS(std::span<const float> loopback, Workspace& w) const;

private:
    /// Of the converter alone: the loopback's mean less what the excitation itself has.
    double loopbackOffset(std::span<const float> loopback, double energy) const;
    double binHz() const { return sampleRateHz_ / static_cast<double>(length()); }

    double sampleRateHz_;
    std::optional<ExponentialSweep> sweep_;
    Band band_;
    BandShape shape_;
    RealTransform<float> transform_;
    AlignedVector<std::complex<float>> shapeOnBins_;  ///< over length
    AlignedVector<std::complex<float>> filter_;       ///< shape / excitation, regularised, over length
    double sum_ = 0;                                  ///< of the excitation's samples
    double energy_;                                   ///< of the excitation's samples
    double leastPower_;                               ///< added to the squared magnitude that is divided by
};

}  // namespace volvelle
