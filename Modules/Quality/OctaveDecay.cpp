#include "Quality/OctaveDecay.h"

#include "Quality/Statistics.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

namespace volvelle {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
constexpr std::ptrdiff_t mostGroups = 24, leastGroups = 5, blocksPerGroup = 12;
constexpr std::ptrdiff_t holdBlocks = 10;  // so long the level has to stay near the noise, and
constexpr double holdS = 0.02;             // so long, so that the gap ahead of a reflection is no end
constexpr double near = 1.585;             // 2 dB
constexpr double nearForLonger = 2;
constexpr double clear = 10;                  // 10 dB: least rise above the noise that counts as a signal
constexpr double fitFrom = 316, fitTo = 3.2;  // 25 dB and 5 dB above the noise

/// Mean energy of `width` blocks about a block.
double smoothed(const OctaveBlocks& blocks, std::ptrdiff_t index, std::ptrdiff_t width) {
    const std::ptrdiff_t half = width / 2;
    double sum = 0;
    for (std::ptrdiff_t i = index - half; i <= index + half; ++i) sum += blocks.at(i);
    return sum / static_cast<double>(2 * half + 1);
}

std::ptrdiff_t loudest(const OctaveBlocks& blocks, std::ptrdiff_t from, std::ptrdiff_t to) {
    std::ptrdiff_t best = from;
    for (std::ptrdiff_t i = from; i <= to; ++i)
        if (blocks.at(i) > blocks.at(best)) best = i;
    return best;
}

double meanFrom(const OctaveBlocks& blocks, std::ptrdiff_t from, std::ptrdiff_t count) {
    double sum = 0;
    for (std::ptrdiff_t i = from; i < from + count; ++i) sum += blocks.at(i);
    return sum / static_cast<double>(count);
}

/// First block from which the level stays near the noise; `end` if none.
std::ptrdiff_t firstQuiet(const OctaveBlocks& blocks, std::ptrdiff_t from, std::ptrdiff_t end, double noise) {
    const auto longer = std::max(holdBlocks, static_cast<std::ptrdiff_t>(holdS / blocks.blockS));
    for (std::ptrdiff_t i = from; i < end; ++i)
        if (meanFrom(blocks, i, holdBlocks) <= near * noise &&
            meanFrom(blocks, i, longer) <= nearForLonger * noise)
            return i;
    return end;
}

struct DecayLine {
    double offset, slope;  ///< of the natural logarithm of a block's energy, per block, offset at block 0
};

constexpr std::ptrdiff_t fitWidth = 3;

DecayLine fitted(const OctaveBlocks& blocks, std::ptrdiff_t from, std::ptrdiff_t to, double noise) {
    double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (std::ptrdiff_t i = from; i <= to; ++i) {
        const double x = static_cast<double>(i);
        const double y = std::log(std::max(smoothed(blocks, i, fitWidth) - noise, 0.3 * noise));
        n += 1;
        sx += x;
        sy += y;
        sxx += x * x;
        sxy += x * y;
    }
    const double slope = (n * sxy - sx * sy) / (n * sxx - sx * sx);
    DecayLine line{(sy - slope * sx) / n, slope};
    // The mean over three blocks of an exponential is (1 + 2 cosh slope) / 3 of its middle.
    line.offset -= std::log((1 + 2 * std::cosh(slope)) / 3);
    return line;
}

}  // namespace

double steadyNoise(const OctaveBlocks& blocks, const TimeSpan& span) {
    const std::ptrdiff_t from = blocks.index(span.fromS) + 1, to = blocks.index(span.toS);
    const std::ptrdiff_t groups = std::clamp((to - from) / blocksPerGroup, leastGroups, mostGroups);
    const std::ptrdiff_t each = (to - from) / groups;
    if (each < 2) return unknown;
    std::vector<double> levels;
    for (std::ptrdiff_t g = 0; g < groups; ++g) {
        double sum = 0;
        for (std::ptrdiff_t i = from + g * each; i < from + (g + 1) * each; ++i) sum += blocks.at(i);
        levels.push_back(sum / (static_cast<double>(each) * blocks.blockS));
    }
    return median(levels);
}

double decayTime(const OctaveBlocks& blocks, double arrivalS, double latestS, double noisePerSecond) {
    const std::ptrdiff_t end = blocks.index(latestS);
    const std::ptrdiff_t first = blocks.index(arrivalS) - 1;
    if (end <= first + 1) return unknown;
    const std::ptrdiff_t peak = loudest(blocks, first, end);
    const double noise = std::max(noisePerSecond * blocks.blockS, 1e-14 * blocks.at(peak));
    if (!(blocks.at(peak) > clear * noise)) return unknown;
    const auto after = [&](double index) {
        return std::clamp((index + 0.5) * blocks.blockS - arrivalS, 0.0, latestS - arrivalS);
    };
    const std::ptrdiff_t quiet = firstQuiet(blocks, peak, end, noise);
    std::ptrdiff_t to = quiet;
    while (to > peak && smoothed(blocks, to, 5) < fitTo * noise) --to;
    std::ptrdiff_t from = to;
    while (from > peak && smoothed(blocks, from, fitWidth) < fitFrom * noise) --from;
    from = std::max(peak, std::min(from, to - 3));
    if (to - from < 2) return after(static_cast<double>(to + 1));
    const DecayLine line = fitted(blocks, from, to, noise);
    if (!(line.slope < 0)) return after(static_cast<double>(quiet));
    const double crossing = (std::log(noise) - line.offset) / line.slope;
    return after(std::clamp(crossing, static_cast<double>(to),
                            static_cast<double>(std::max(quiet, to) + 4 * holdBlocks)));
}

Rise greatestRise(const OctaveBlocks& blocks, const TimeSpan& span, double windowS, double noisePerSecond,
                  double centreHz) {
    const auto width = std::max<std::ptrdiff_t>(2, std::lround(windowS / blocks.blockS));
    const std::ptrdiff_t from = blocks.index(span.fromS) + 1, to = blocks.index(span.toS);
    const double noise = noisePerSecond * blocks.blockS * static_cast<double>(width);
    const double bandwidthHz =
        std::sqrt(std::numbers::pi) * OctaveBank::widthOctaves * std::numbers::ln2 * centreHz;
    Rise rise;
    rise.independent = bandwidthHz * blocks.blockS * static_cast<double>(width);
    double sum = 0;
    std::ptrdiff_t last = from;
    for (std::ptrdiff_t i = from; i < to; ++i) {
        sum += blocks.at(i);
        if (i - from >= width) sum -= blocks.at(i - width);
        if (i - from + 1 < width || !(sum > rise.energy)) continue;
        rise.energy = sum;
        last = i;
    }
    double moment = 0;
    for (std::ptrdiff_t i = last - width + 1; i <= last; ++i)
        moment += blocks.at(i) * (static_cast<double>(i) + 0.5) * blocks.blockS;
    if (rise.energy > 0) rise.atS = moment / rise.energy;
    rise.ratio = noise > 0 ? rise.energy / noise : 0;
    return rise;
}

}  // namespace volvelle
