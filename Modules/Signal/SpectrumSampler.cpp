#include "Signal/SpectrumSampler.h"

#include "Text/Error.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <functional>
#include <numbers>

namespace volvelle {

namespace {

// Kaiser-Bessel shape for eight bins at twofold oversampling: aliases of the kernel lie about 2e-8 below it.
constexpr double kernelWidth = 8;
constexpr double kernelShape = 2.34 * kernelWidth;

/// Modified Bessel function I0 by its power series (Abramowitz & Stegun 9.6.12), for 0 <= x <= kernelShape:
/// the standard library's general one takes most of the time that a sampler needs to be made.
double besselI0(double x) {
    constexpr std::size_t most = 64;  // terms; 40 are enough
    static const auto overSquares = [] {
        std::array<double, most> values{};
        for (std::size_t k = 1; k < most; ++k) values[k] = 1 / static_cast<double>(k * k);
        return values;
    }();
    const double quarter = x * x / 4;
    double term = 1, sum = 1;
    for (std::size_t k = 1; k < most && term > 1e-17 * sum; ++k) {
        term *= quarter * overSquares[k];
        sum += term;
    }
    return sum;
}

double kernelAt(double x) {
    const double inside = 1 - 4 * x * x / (kernelWidth * kernelWidth);
    return inside <= 0 ? 0 : besselI0(kernelShape * std::sqrt(inside));
}

/// Fourier transform of the kernel at xi cycles per bin, |xi| <= 1/4.
double kernelTransform(double xi) {
    const double turn = std::numbers::pi * kernelWidth * xi;
    const double root = std::sqrt(kernelShape * kernelShape - turn * turn);
    const double growth = std::exp(root);
    return kernelWidth * (growth - 1 / growth) / (2 * root);  // sinh, of arguments well above zero
}

/// 1 / kernelTransform((n - centre) / length) for n = 0, 1 ...: cubic interpolation between every 1024th part
/// of the length, to 1e-9 of the value.
void fillCorrection(double length, double centre, std::span<double> correction) {
    const double step = length / 1024;
    if (step < 4) {
        for (std::size_t n = 0; n < correction.size(); ++n)
            correction[n] = 1 / kernelTransform((static_cast<double>(n) - centre) / length);
        return;
    }
    const auto stride = static_cast<std::size_t>(step);
    const auto node = [&](std::size_t first, int k) {
        return 1 / kernelTransform((static_cast<double>(first) + k * step - centre) / length);
    };
    for (std::size_t first = 0; first < correction.size(); first += stride) {
        const double a = node(first, -1), b = node(first, 0), c = node(first, 1), d = node(first, 2);
        const double linear = c - a / 3 - b / 2 - d / 6, square = (a + c) / 2 - b,
                     cube = (d - a) / 6 + (b - c) / 2;
        for (std::size_t n = first; n < std::min(first + stride, correction.size()); ++n) {
            const double x = static_cast<double>(n - first) / step;
            correction[n] = b + x * (linear + x * (square + x * cube));
        }
    }
}

/// The signal is centred a quarter of the transform after its start, so that the centre's phase in bin k is
/// j^k. Hence the length is a multiple of four and at least twice the support. Short ones are powers of two,
/// so that windows of nearly the same length share a plan.
std::size_t lengthFor(std::size_t support) {
    constexpr std::size_t shortSupport = 4096;
    return support <= shortSupport ? 2 * std::bit_ceil(std::max<std::size_t>(support, 16))
                                   : fastLength(2 * support);
}

}  // namespace

SpectrumSampler::Workspace::Workspace(const SpectrumSampler& sampler)
    : support_(sampler.supportLength()),
      padded_(sampler.transformLength(), 0.0),
      spectrum_(sampler.transformLength() / 2 + 1 + 2 * kernelBins) {
}

SpectrumSampler::SpectrumSampler(std::span<const double> frequenciesHz, double sampleRateHz,
                                 std::size_t supportLength)
    : transform_(lengthFor(supportLength), TransformUse::forwardOnly), correction_(supportLength) {
    if (supportLength == 0) throw Error(ErrorKind::bug, "spectrum of an empty signal", "", "");
    const auto length = static_cast<double>(transform_.size());
    const double centre = length / 4;
    fillCorrection(length, centre, correction_);
    for (const double f : frequenciesHz) {
        if (!(f >= 0) || f > sampleRateHz / 2)
            throw Error(ErrorKind::bug, "a frequency above half the sample rate", "", "");
        const double bin = f / sampleRateHz * length;
        const auto first = static_cast<std::ptrdiff_t>(std::floor(bin)) - kernelBins / 2 + 1;
        std::array<double, kernelBins> taps{};
        for (int t = 0; t < kernelBins; ++t) {
            // j^t folded into the taps: even ones alternate in sign, odd ones are combined as imaginary
            // parts.
            const double sign = t % 4 < 2 ? 1 : -1;
            taps[static_cast<std::size_t>(t)] = sign * kernelAt(bin - static_cast<double>(first + t));
        }
        kernel_.push_back(taps);
        firstBin_.push_back(static_cast<std::size_t>(first + kernelBins));
        highestBin_ = std::max(highestBin_, firstBin_.back());
        const double quarterTurns = static_cast<double>(((first % 4) + 4) % 4);
        turn_.push_back(std::polar(
            1.0, std::numbers::pi / 2 * quarterTurns - 2 * std::numbers::pi * bin * centre / length));
    }
}

void SpectrumSampler::transformAndGather(Workspace& w, std::span<std::complex<double>> out) const {
    std::complex<double>* bins = w.spectrum_.data() + kernelBins;
    transform_.forwardUpTo(highestBin_, w.padded_.data(), bins);
    const std::size_t top = transform_.size() / 2;
    for (std::size_t k = 1; k <= kernelBins; ++k) {
        bins[-static_cast<std::ptrdiff_t>(k)] = std::conj(bins[k]);
        bins[top + k] = std::conj(bins[top - k]);
    }
    for (std::size_t i = 0; i < out.size(); ++i) {
        const auto* y = reinterpret_cast<const double*>(w.spectrum_.data() + firstBin_[i]);
        const auto& g = kernel_[i];
        double re = 0, im = 0;
        for (std::size_t t = 0; t < kernelBins; t += 2) {
            re += g[t] * y[2 * t] - g[t + 1] * y[2 * t + 3];
            im += g[t] * y[2 * t + 1] + g[t + 1] * y[2 * t + 2];
        }
        const auto& turn = turn_[i];
        out[i] = {re * turn.real() - im * turn.imag(), re * turn.imag() + im * turn.real()};
    }
}

void SpectrumSampler::operator()(std::span<const double> signal, Workspace& w,
                                 std::span<std::complex<double>> out) const {
    std::transform(signal.begin(), signal.end(), correction_.begin(), w.signal().begin(),
                   std::multiplies<>());
    transformAndGather(w, out);
}

}  // namespace volvelle
