#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace volvelle {

/// A band of frequencies in Hz.
struct Band {
    double lowHz, highHz;
};

/// A synchronised exponential sweep sin(2π f1 L e^(t/L)) (Novak, Lotton & Simon, J. Audio Eng. Soc. 63(10),
/// 2015).
struct ExponentialSweep {
    double startHz, endHz;
    double durationS;
    double beginS = 0;     ///< where it begins in its file
    double rateS() const;  ///< L = T / ln(f2 / f1)
    /// How far the response of harmonic n lies ahead of the linear one: L ln n.
    double leadS(int harmonic) const;
};

/// Duration nearest to the wish for which f1 L is a whole number, so that the sweep starts at a zero.
ExponentialSweep synchronisedSweep(double startHz, double endHz, double wishedDurationS);

/// Samples of a sweep at full scale 1.0 with raised-cosine fades at both ends (seconds, may be 0). It begins at
/// sweep.beginS, which need not lie on a sample; before it they are zero.
std::vector<double> sweepSamples(const ExponentialSweep& sweep, double sampleRateHz, double fadeInS,
                                 double fadeOutS);

/// Recognises an exponential sweep in samples (silence may surround it), or nothing. Accuracy of startHz,
/// endHz and rateS on clean sweeps: better than 0.5 %.
std::optional<ExponentialSweep> recogniseSweep(std::span<const float> samples, double sampleRateHz);

/// The band that an excitation fills: of a recognised sweep its ends, else where its third-octave spectrum is
/// within 30 dB of its greatest, per hertz and weighted by frequency.
Band excitedBand(std::span<const float> samples, double sampleRateHz);

/// The band in which results are given: the excited one, widened by 2 % for what recognising its ends leaves
/// open.
Band excitedGrid(const Band& excited);

}  // namespace volvelle
