#include "Quality/DirectSound.h"

#include "Quality/ImpulseJudgement.h"
#include "Quantities/Level.h"
#include "Run/Capture.h"
#include "Signal/Aligned.h"
#include "Signal/FourierTransform.h"
#include "Signal/FrequencyGrid.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace volvelle {
namespace {

constexpr double windowS = 0.12, leadS = 0.002;
constexpr double comparedWithinDb = 20, comparedOctaves = 2;

const std::vector<double>& thirdOctavesHz() {
    static const std::vector<double> centres = bandCentres(100, 10000, 3);
    return centres;
}

/// The lowest third octave in which both have something to say, or nothing.
std::optional<double> lowestSharedHz(const DirectSound& a, const DirectSound& b) {
    const auto loudest = [](const std::vector<double>& levels) {
        double top = -1e9;
        for (const double db : levels) top = std::isfinite(db) ? std::max(top, db) : top;
        return top;
    };
    const double least[] = {loudest(a.thirdOctaveDb) - comparedWithinDb,
                            loudest(b.thirdOctaveDb) - comparedWithinDb};
    for (std::size_t i = 0; i < std::min(a.thirdOctaveDb.size(), b.thirdOctaveDb.size()); ++i)
        if (a.thirdOctaveDb[i] >= least[0] && b.thirdOctaveDb[i] >= least[1]) return thirdOctavesHz()[i];
    return std::nullopt;
}

}  // namespace

const std::vector<double>& directGridHz() {
    static const std::vector<double> grid = logarithmicGrid(100, 10000, 12);
    return grid;
}

DirectSound directSound(const ImpulseFacts& facts, double arrivalS) {
    const RealTransform<float> transform(fastLength(static_cast<std::size_t>(windowS * facts.sampleRateHz)));
    AlignedVector<float> piece(transform.size());
    AlignedVector<std::complex<float>> spectrum(transform.bins());
    const auto count = std::ssize(facts.impulse),
               from = static_cast<std::ptrdiff_t>(std::lround((arrivalS - leadS) * facts.sampleRateHz));
    const std::size_t flat = piece.size() * 3 / 4;
    for (std::size_t i = 0; i < piece.size(); ++i) {
        const double out =
            i < flat ? 0 : static_cast<double>(i - flat) / static_cast<double>(piece.size() - flat);
        const auto n = (((from + static_cast<std::ptrdiff_t>(i)) % count) + count) % count;
        piece[i] = facts.impulse[static_cast<std::size_t>(n)] *
                   static_cast<float>(0.5 + 0.5 * std::cos(std::numbers::pi * out));
    }
    transform.forward(piece.data(), spectrum.data());
    const double binHz = facts.sampleRateHz / static_cast<double>(transform.size()),
                 edge = std::pow(10, 0.05);
    DirectSound out;
    for (const double centre : thirdOctavesHz()) {
        double sum = 0;
        const auto last = std::min(static_cast<std::size_t>(centre * edge / binHz), spectrum.size() - 1);
        for (auto k = static_cast<std::size_t>(std::ceil(centre / edge / binHz)); k <= last; ++k)
            sum += double{std::norm(spectrum[k])};
        const bool inBand = centre / edge >= facts.band.lowHz && centre * edge <= facts.band.highHz;
        out.thirdOctaveDb.push_back(inBand ? decibels(sum) : notStated);
    }
    for (const double f : directGridHz()) {
        const auto k = std::min(static_cast<std::size_t>(std::lround(f / binHz)), spectrum.size() - 1);
        const bool inBand = f >= facts.band.lowHz && f <= facts.band.highHz;
        const double turns = static_cast<double>(k) * binHz * leadS;
        out.spectrum.push_back(
            inBand ? spectrum[k] * std::complex<float>(std::polar(1.0, 2 * std::numbers::pi * turns)) : 0.0F);
    }
    return out;
}

double lowFrequencyAgreement(const DirectSound& a, const DirectSound& b) {
    const auto lowest = lowestSharedHz(a, b);
    if (!lowest) return notStated;
    const double from = *lowest * std::pow(10, -0.05), to = from * std::exp2(comparedOctaves);
    double common = 0, energyA = 0, energyB = 0;
    for (std::size_t i = 0; i < std::min(a.spectrum.size(), b.spectrum.size()); ++i) {
        if (directGridHz()[i] < from || directGridHz()[i] > to) continue;
        const std::complex<double> x(a.spectrum[i]), y(b.spectrum[i]);
        common += std::real(x * std::conj(y));
        energyA += std::norm(x);
        energyB += std::norm(y);
    }
    return energyA > 0 && energyB > 0 ? common / std::sqrt(energyA * energyB) : notStated;
}

}  // namespace volvelle
