#include "Quality/NoiseLevel.h"

#include "Run/Capture.h"
#include "Signal/Aligned.h"
#include "Signal/FourierTransform.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>

namespace volvelle {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
constexpr double segmentsS[] = {0.4, 0.2, 0.099};
constexpr double leastCells = 4;  // bandwidth of an octave times the segment's length

/// Largest segment that fits, 0 if none does.
std::size_t segmentLength(std::size_t samples, double sampleRateHz) {
    for (const double seconds : segmentsS) {
        const std::size_t length = fastLength(static_cast<std::size_t>(seconds * sampleRateHz));
        if (length <= samples) return length;
    }
    return 0;
}

/// Mean squared value in every bin, one-sided, and its sum is the mean square.
std::vector<double> welch(std::span<const float> samples, std::size_t length) {
    const RealTransform<float> transform(length);
    AlignedVector<float> windowed(length), window(length);
    AlignedVector<std::complex<float>> spectrum(transform.bins());
    double windowEnergy = 0, mean = 0;
    for (const float s : samples) mean += double{s} / static_cast<double>(samples.size());
    for (std::size_t i = 0; i < length; ++i) {
        const double w =
            0.5 - 0.5 * std::cos(2 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(length));
        window[i] = static_cast<float>(w);
        windowEnergy += w * w;
    }
    std::vector<double> power(transform.bins());
    std::size_t segments = 0;
    for (std::size_t from = 0; from + length <= samples.size(); from += length / 2, ++segments) {
        for (std::size_t i = 0; i < length; ++i)
            windowed[i] = (samples[from + i] - static_cast<float>(mean)) * window[i];
        transform.forward(windowed.data(), spectrum.data());
        for (std::size_t k = 0; k < power.size(); ++k) power[k] += double{std::norm(spectrum[k])};
    }
    const double scale = 2 / (static_cast<double>(length) * windowEnergy * static_cast<double>(segments));
    for (double& p : power) p *= scale;
    return power;
}

/// Sum of bins between two frequencies, bins at the edges by their share.
double between(const std::vector<double>& power, double binHz, double lowHz, double highHz) {
    double sum = 0;
    for (std::size_t k = 1; k < power.size(); ++k) {
        const double low = (static_cast<double>(k) - 0.5) * binHz, high = low + binHz;
        const double share = (std::min(high, highHz) - std::max(low, lowHz)) / binHz;
        if (share > 0) sum += share * power[k];
    }
    return sum;
}

}  // namespace

std::vector<double> octavePowers(std::span<const float> samples, double sampleRateHz) {
    const auto& octaves = judgedOctavesHz();
    std::vector<double> powers(octaves.size(), unknown);
    const std::size_t length = segmentLength(samples.size(), sampleRateHz);
    if (length == 0) return powers;
    const std::vector<double> power = welch(samples, length);
    const double binHz = sampleRateHz / static_cast<double>(length), edge = std::pow(10, 0.15);
    for (std::size_t b = 0; b < octaves.size(); ++b) {
        const double low = octaves[b] / edge, high = std::min(octaves[b] * edge, sampleRateHz / 2);
        if (high - low >= leastCells * binHz) powers[b] = between(power, binHz, low, high);
    }
    return powers;
}

}  // namespace volvelle
