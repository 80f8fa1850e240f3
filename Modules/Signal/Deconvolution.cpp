#include "Signal/Deconvolution.h"

#include "Signal/ComplexLoops.h"
#include "Signal/Sums.h"
#include "Text/Error.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

constexpr double pi = std::numbers::pi;

// Of the two pole pairs of a Butterworth filter of fourth order: sin(π/8), sin(3π/8).
constexpr double slowDamping = 0.38268343236508977, fastDamping = 0.92387953251128674;

/// Least mean squared magnitude of the excitation's spectrum within its band, over third octaves.
double weakestInBand(std::span<const std::complex<float>> spectrum, double binHz, const Band& band) {
    double weakest = 0;
    const double step = std::pow(10, 0.1);
    for (double from = band.lowHz * 1.05; from * step < band.highHz; from *= step) {
        const auto first = static_cast<std::size_t>(std::ceil(from / binHz));
        const auto last = std::min(static_cast<std::size_t>(from * step / binHz), spectrum.size() - 1);
        double sum = 0;
        for (std::size_t k = first; k <= last; ++k) sum += double{std::norm(spectrum[k])};
        if (last < first || !(sum > 0)) continue;
        const double mean = sum / static_cast<double>(last - first + 1);
        weakest = weakest > 0 ? std::min(weakest, mean) : mean;
    }
    return weakest;
}

/// Samples less an offset, and silence behind them.
void pad(std::span<const float> samples, double offset, AlignedVector<float>& padded) {
    if (samples.size() > padded.size())
        throw Error(ErrorKind::bug, "a recording longer than announced", "", "");
    const auto mean = static_cast<float>(offset);
    for (std::size_t n = 0; n < samples.size(); ++n) padded[n] = samples[n] - mean;
    std::fill(padded.begin() + std::ssize(samples), padded.end(), 0.0F);
}

}  // namespace

BandShape::BandShape(const Band& band, double sampleRateHz) : cornerHz_(band.lowHz / 2) {
    const double half = sampleRateHz / 2;
    taperFromHz_ = band.highHz;
    taperToHz_ = std::min(band.highHz * 1.06, half);
    if (taperToHz_ < taperFromHz_ * 1.01)
        taperFromHz_ = taperToHz_ = half * 1.01;  // the band reaches half the rate: no taper
}

std::complex<double> BandShape::at(double frequencyHz) const {
    if (frequencyHz >= taperToHz_) return 0;
    // s^4 over the Butterworth polynomial of fourth order, s = jx; in real arithmetic, as it is asked for on
    // every bin.
    const double x = frequencyHz / cornerHz_;
    const double x2 = x * x;
    const double real = (1 - x2) * (1 - x2) - 4 * slowDamping * fastDamping * x2;
    const double imaginary = 2 * (slowDamping + fastDamping) * x * (1 - x2);
    const double scale = x2 * x2 / (real * real + imaginary * imaginary);
    std::complex<double> value(real * scale, -imaginary * scale);
    if (frequencyHz > taperFromHz_)
        value *= 0.5 + 0.5 * std::cos(pi * (frequencyHz - taperFromHz_) / (taperToHz_ - taperFromHz_));
    return value;
}

Deconvolution::Workspace::Workspace(const Deconvolution& d)
    : padded(d.length()), response(d.length() / 2 + 1), reference(d.length() / 2 + 1) {
}

Deconvolution::Deconvolution(std::span<const float> excitation, double sampleRateHz,
                             std::size_t recordingLength)
    : sampleRateHz_(sampleRateHz),
      sweep_(recogniseSweep(excitation, sampleRateHz)),
      band_(sweep_ ? Band{sweep_->startHz, sweep_->endHz} : excitedBand(excitation, sampleRateHz)),
      shape_(band_, sampleRateHz),
      transform_(fastLength(std::max(recordingLength, excitation.size()))),
      shapeOnBins_(transform_.bins()),
      filter_(transform_.bins()) {
    AlignedVector<float> padded(length());
    pad(excitation, 0, padded);
    transform_.forward(padded.data(), filter_.data());
    const double weakest = weakestInBand(filter_, binHz(), band_);
    if (!(weakest > 0))
        throw Error(ErrorKind::input, "the excitation is silent", "", "Give the file that was played");
    leastPower_ = weakest * 1e-5;  // 50 dB under the weakest part of the band: felt only outside it
    energy_ = energyOf(excitation);
    sum_ = meanOf(excitation) * static_cast<double>(excitation.size());
    const double overLength = 1 / static_cast<double>(length());
    for (std::size_t k = 0; k < filter_.size(); ++k) {
        shapeOnBins_[k] = std::complex<float>(shape_.at(static_cast<double>(k) * binHz()) * overLength);
        filter_[k] = shapeOnBins_[k] * std::conj(filter_[k]) /
                     (std::norm(filter_[k]) + static_cast<float>(leastPower_));
    }
}

double Deconvolution::loopbackOffset(std::span<const float> loopback, double energy) const {
    // A sweep has a mean of its own, which has to stay: taken off, it would stand as a click at both ends.
    const double mean = meanOf(loopback);
    const double own = std::sqrt(energy / energy_) * sum_ / static_cast<double>(loopback.size());
    const bool reversed = std::abs(mean + own) < 0.25 * std::abs(mean - own);
    return reversed ? mean + own : mean - own;
}

void Deconvolution::impulse(std::span<const float> recording, std::span<const float> loopback, Workspace& w,
                            std::span<float> impulse) const {
    // A converter's offset would stand as a step at both ends of the recording; the response to a sweep has
    // none of its own.
    pad(recording, meanOf(recording), w.padded);
    if (loopback.empty()) {
        transform_.forward(w.padded.data(), w.response.data());
        multiplyInPlace<float>(w.response, filter_);
        transform_.inverse(w.response.data(), impulse.data());
        return;
    }
    const double energy = energyOf(loopback);
    if (!(energy > 0))
        throw Error(ErrorKind::input, "the loopback channel is silent", "", "Check its cable and its number");
    transform_.beginForward(w.padded.data(), w.response.data());
    pad(loopback, loopbackOffset(loopback, energy), w.padded);
    transform_.beginForward(w.padded.data(), w.reference.data());
    transform_.quotient(w.response.data(), w.reference.data(), shapeOnBins_,
                        static_cast<float>(leastPower_ * energy / energy_), impulse.data());
}

double Deconvolution::delayS(std::span<const float> loopback, Workspace& w) const {
    pad(loopback, meanOf(loopback), w.padded);
    transform_.forward(w.padded.data(), w.response.data());
    multiplyInPlace<float>(w.response, filter_);
    w.reference = w.response;
    transform_.inverse(w.reference.data(), w.padded.data());
    const auto peak = std::max_element(w.padded.begin(), w.padded.end(),
                                       [](float a, float b) { return std::abs(a) < std::abs(b); });
    const auto whole = static_cast<double>(peak - w.padded.begin());
    const bool negative = *peak < 0;
    // Slope of what is left of the phase, over the middle of the band.
    double sum = 0, weights = 0;
    const auto first = static_cast<std::size_t>(std::ceil(2 * band_.lowHz / binHz()));
    const auto last = static_cast<std::size_t>(0.7 * std::min(band_.highHz, sampleRateHz_ / 2) / binHz());
    for (std::size_t k = first; k <= last; ++k) {
        const double omega = 2 * pi * static_cast<double>(k) / static_cast<double>(length());
        const auto left = std::complex<double>(w.response[k]) / std::complex<double>(shapeOnBins_[k]) *
                          std::polar(1.0, omega * whole);
        sum += std::arg(negative ? -left : left) * omega;
        weights += omega * omega;
    }
    const double delay = whole - (weights > 0 ? sum / weights : 0);
    return (delay > static_cast<double>(length()) / 2 ? delay - static_cast<double>(length()) : delay) /
           sampleRateHz_;
}

}  // namespace volvelle
