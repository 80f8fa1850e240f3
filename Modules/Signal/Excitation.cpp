#include "Signal/Excitation.h"

#include "Signal/Aligned.h"
#include "Signal/FourierTransform.h"
#include "Text/Error.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

namespace volvelle {

namespace {
constexpr double pi = std::numbers::pi;
}

double ExponentialSweep::rateS() const {
    return durationS / std::log(endHz / startHz);
}

double ExponentialSweep::leadS(int harmonic) const {
    return rateS() * std::log(harmonic);
}

ExponentialSweep synchronisedSweep(double startHz, double endHz, double wishedDurationS) {
    if (!(startHz > 0) || !(endHz > startHz) || !(wishedDurationS > 0))
        throw Error(ErrorKind::bug, "a sweep needs 0 < start < end and a duration", "", "");
    const double octaves = std::log(endHz / startHz);
    const double turns = std::max(1.0, std::round(startHz * wishedDurationS / octaves));
    return {startHz, endHz, turns / startHz * octaves, 0};
}

std::vector<double> sweepSamples(const ExponentialSweep& sweep, double sampleRateHz, double fadeInS,
                                 double fadeOutS) {
    const auto count = static_cast<std::size_t>(std::llround((sweep.beginS + sweep.durationS) * sampleRateHz));
    const double rate = sweep.rateS();
    std::vector<double> samples(count);
    for (std::size_t n = 0; n < count; ++n) {
        const double t = static_cast<double>(n) / sampleRateHz - sweep.beginS;
        if (t < 0) continue;
        double value = std::sin(2 * pi * sweep.startHz * rate * std::exp(t / rate));
        if (t < fadeInS) value *= 0.5 - 0.5 * std::cos(pi * t / fadeInS);
        if (sweep.durationS - t < fadeOutS)
            value *= 0.5 - 0.5 * std::cos(pi * (sweep.durationS - t) / fadeOutS);
        samples[n] = value;
    }
    return samples;
}

namespace {

/// The part that is not silent: first and one past the last sample above a thousandth of the loudest.
struct Extent {
    std::size_t first, last;
};

Extent loudPart(std::span<const float> x) {
    float loudest = 0;
    for (const float v : x) loudest = std::max(loudest, std::abs(v));
    const float threshold = loudest * 1e-3F;
    std::size_t first = 0, last = x.size();
    while (first < last && std::abs(x[first]) < threshold) ++first;
    while (last > first && std::abs(x[last - 1]) < threshold) --last;
    return {first, last};
}

/// Times of the zero crossings from below, in samples, interpolated.
std::vector<double> risingCrossings(std::span<const float> x, const Extent& part) {
    std::vector<double> at;
    for (std::size_t n = part.first + 1; n < part.last; ++n)
        if (x[n - 1] < 0 && x[n] >= 0)
            at.push_back(static_cast<double>(n - 1) + double{x[n - 1]} / (double{x[n - 1]} - double{x[n]}));
    return at;
}

struct Line {
    double offset, slope, rms;
};

Line fittedLine(const std::vector<double>& x, const std::vector<double>& y) {
    const auto n = static_cast<double>(x.size());
    double sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (std::size_t i = 0; i < x.size(); ++i) sx += x[i], sy += y[i];
    for (std::size_t i = 0; i < x.size(); ++i) {
        sxx += (x[i] - sx / n) * (x[i] - sx / n);
        sxy += (x[i] - sx / n) * (y[i] - sy / n);
    }
    Line line{0, sxx > 0 ? sxy / sxx : 0, 0};
    line.offset = (sy - line.slope * sx) / n;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const double off = y[i] - line.offset - line.slope * x[i];
        line.rms += off * off / n;
    }
    line.rms = std::sqrt(line.rms);
    return line;
}

}  // namespace

std::optional<ExponentialSweep> recogniseSweep(std::span<const float> samples, double sampleRateHz) {
    // In a sweep the number k of turns grows as c + f1 L e^(t/L): over the same span of turns the frequency
    // is their mean in time, and its logarithm lies on a straight line over time.
    const Extent part = loudPart(samples);
    const std::vector<double> crossings = risingCrossings(samples, part);
    constexpr std::size_t leastCrossings = 40;
    if (crossings.size() < leastCrossings) return std::nullopt;
    std::vector<double> when, logFrequency;
    for (std::size_t i = 2; i + 1 < crossings.size();) {
        const std::size_t turns = std::max<std::size_t>(2, i / 24);
        if (i + turns >= crossings.size()) break;
        const double span = (crossings[i + turns] - crossings[i]) / sampleRateHz;
        when.push_back(0.5 * (crossings[i + turns] + crossings[i]) / sampleRateHz);
        logFrequency.push_back(std::log(static_cast<double>(turns) / span));
        i += turns;
    }
    if (when.size() < 12) return std::nullopt;
    const Line line = fittedLine(when, logFrequency);
    if (!(line.slope > 0) || line.rms > 0.01) return std::nullopt;
    const auto frequencyAt = [&](double t) { return std::exp(line.offset + line.slope * t); };
    const double beginS = static_cast<double>(part.first) / sampleRateHz;
    const double endS = static_cast<double>(part.last) / sampleRateHz;
    return ExponentialSweep{frequencyAt(beginS), frequencyAt(endS), endS - beginS, beginS};
}

Band excitedBand(std::span<const float> samples, double sampleRateHz) {
    if (const auto sweep = recogniseSweep(samples, sampleRateHz)) return {sweep->startHz, sweep->endHz};
    const RealTransform<float> transform(fastLength(samples.size()));
    AlignedVector<float> padded(transform.size());
    std::copy(samples.begin(), samples.end(), padded.begin());
    AlignedVector<std::complex<float>> spectrum(transform.bins());
    transform.forward(padded.data(), spectrum.data());
    const double binHz = sampleRateHz / static_cast<double>(transform.size());
    // Mean of |X|² f over third octaves: level for pink and exponential excitations.
    std::vector<double> centres, levels;
    for (double centre = 1000 * std::pow(10, -2.3); centre < sampleRateHz / 2; centre *= std::pow(10, 0.1)) {
        const auto from = static_cast<std::size_t>(std::ceil(centre / std::pow(10, 0.05) / binHz));
        const auto to =
            std::min(static_cast<std::size_t>(centre * std::pow(10, 0.05) / binHz), spectrum.size() - 1);
        double sum = 0;
        for (std::size_t k = from; k <= to; ++k) sum += double{std::norm(spectrum[k])};
        if (to < from) continue;
        centres.push_back(centre);
        levels.push_back(sum / static_cast<double>(to - from + 1) * centre);
    }
    const double greatest = levels.empty() ? 0 : *std::max_element(levels.begin(), levels.end());
    if (!(greatest > 0))
        throw Error(ErrorKind::input, "the excitation is silent", "", "Give the file that was played");
    const auto filled = [&](double level) { return level > greatest * 1e-3; };
    const auto low = std::find_if(levels.begin(), levels.end(), filled) - levels.begin();
    const auto high = levels.rend() - std::find_if(levels.rbegin(), levels.rend(), filled) - 1;
    return {centres[static_cast<std::size_t>(low)] / std::pow(10, 0.05),
            std::min(centres[static_cast<std::size_t>(high)] * std::pow(10, 0.05), sampleRateHz / 2)};
}

Band excitedGrid(const Band& excited) {
    return {excited.lowHz / 1.02, excited.highHz * 1.02};
}

}  // namespace volvelle
