#include "Quality/OctaveBlocks.h"

#include "Run/Capture.h"

#include <algorithm>
#include <cmath>

namespace volvelle {
namespace {

constexpr double reachOctaves = 1.5;  // where the filters' weight has fallen to 1e-4
constexpr double periodsPerBlock = 2;
// The filters fade between these parts of the band's ends.
constexpr double lowFadeFrom = 0.9, lowFadeTo = 1.2, highFadeFrom = 0.85;

/// Rises smoothly from 0 at `from` to 1 at `to`, which may lie on either side of it.
double smoothStep(double x, double from, double to) {
    const double part = std::clamp((x - from) / (to - from), 0.0, 1.0);
    return part * part * (3 - 2 * part);
}

}  // namespace

std::ptrdiff_t OctaveBlocks::index(double timeS) const {
    return static_cast<std::ptrdiff_t>(std::floor(timeS / blockS));
}

double OctaveBlocks::at(std::ptrdiff_t index) const {
    const auto count = std::ssize(energy);
    return energy[static_cast<std::size_t>(((index % count) + count) % count)];
}

double OctaveBlocks::sum(double fromS, double toS) const {
    double total = 0;
    for (std::ptrdiff_t i = index(fromS), end = index(toS); i < end; ++i) total += at(i);
    return total;
}

OctaveBank::OctaveBank(std::size_t impulseLength, double sampleRateHz, const Band& band)
    : length_(impulseLength),
      sampleRateHz_(sampleRateHz),
      lowHz_(band.lowHz),
      highHz_(std::min(band.highHz, sampleRateHz / 2)) {
    const double binHz = sampleRateHz / static_cast<double>(impulseLength), reach = std::exp2(reachOctaves);
    for (const double centre : judgedOctavesHz()) {
        Octave octave{centre, 0, 0, 0};
        octave.firstBin = std::max<std::size_t>(1, static_cast<std::size_t>(centre / reach / binHz));
        octave.lastBin = std::min(static_cast<std::size_t>(std::min(centre * reach, highHz_) / binHz),
                                  impulseLength / 2 - 1);
        if (centre > 0.9 * band.lowHz && centre < 0.95 * highHz_ && octave.lastBin > octave.firstBin)
            octave.transformLength = fastLength(2 * (octave.lastBin - octave.firstBin + 2));
        octaves_.push_back(octave);
    }
}

double OctaveBank::weight(std::size_t octave, double frequencyHz) const {
    if (!(frequencyHz > 0)) return 0;
    const double off = std::log2(frequencyHz / octaves_[octave].centreHz) / widthOctaves;
    return std::exp(-off * off / 2) * smoothStep(frequencyHz, lowFadeFrom * lowHz_, lowFadeTo * lowHz_) *
           smoothStep(frequencyHz, highHz_, highFadeFrom * highHz_);
}

OctaveBlocks OctaveBank::blocks(std::size_t octave, std::span<const std::complex<float>> spectrum,
                                Workspace& w) const {
    // The band's bins are moved down to the first bin, so that a short transform serves: the result is
    // another real signal of the same energy and envelope.
    const Octave& o = octaves_[octave];
    const RealTransform<float> transform(o.transformLength);
    w.bins.assign(transform.bins(), {});
    w.signal.resize(transform.size());
    const double binHz = sampleRateHz_ / static_cast<double>(length_);
    for (std::size_t k = o.firstBin; k <= o.lastBin; ++k)
        w.bins[k - o.firstBin + 1] =
            spectrum[k] * static_cast<float>(weight(octave, static_cast<double>(k) * binHz));
    transform.inverse(w.bins.data(), w.signal.data());

    const double samples = static_cast<double>(transform.size());
    const double rate = sampleRateHz_ * samples / static_cast<double>(length_);
    const auto perBlock =
        std::max<std::size_t>(1, static_cast<std::size_t>(std::lround(periodsPerBlock / o.centreHz * rate)));
    const double scale = 1 / (samples * static_cast<double>(length_));
    OctaveBlocks blocks{static_cast<double>(perBlock) / rate, {}};
    for (std::size_t from = 0; from + perBlock <= transform.size(); from += perBlock) {
        double sum = 0;
        for (std::size_t i = from; i < from + perBlock; ++i) sum += double{w.signal[i]} * double{w.signal[i]};
        blocks.energy.push_back(sum * scale);
    }
    return blocks;
}

}  // namespace volvelle
