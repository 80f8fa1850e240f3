#include "Quality/ImpulseJudgement.h"

#include "Quantities/Level.h"
#include "Run/Capture.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

namespace volvelle {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
constexpr int keptHarmonics = 5, clearHarmonics = 10;
constexpr double roomForClear = 0.4;  // of the impulse, to stay clear of more harmonics than are kept
constexpr double marginS = 0.01;
constexpr double ringPeriods = 6;  // of an octave's filter
constexpr double lowestScannedHz = 50;
constexpr double negligible = 3e-8;  // -75 dB re the octave's energy: too little to matter
constexpr double highestOffsetHz = 1500, offsetAllowance = 1e-4;  // see offsetEnds: -40 dB re the octave's energy
constexpr double significance = 8;   // standard deviations of the noise's energy
constexpr double shortestQuietS = 0.1;

std::ptrdiff_t sampleAt(double timeS, double rate) {
    return static_cast<std::ptrdiff_t>(std::lround(timeS * rate));
}

double energyOf(const ImpulseFacts& f, double fromS, double toS) {
    const auto count = std::ssize(f.impulse);
    double sum = 0;
    for (auto n = sampleAt(fromS, f.sampleRateHz), end = sampleAt(toS, f.sampleRateHz); n < end; ++n) {
        const double v{f.impulse[static_cast<std::size_t>(((n % count) + count) % count)]};
        sum += v * v;
    }
    return sum;
}

/// Where the stretch without any response ends: ahead of the harmonics, or at the end of what was recorded.
double quietEndS(const ImpulseFacts& f, double arrivalS) {
    if (!f.circular) return 0.98 * f.recordedS;
    if (!f.times.sweep) return 0.95 * f.durationS();
    const double wide = f.times.sweep->leadS(clearHarmonics);
    const bool room = f.durationS() - wide > roomForClear * f.durationS();
    return f.durationS() + arrivalS - (room ? wide : f.times.sweep->leadS(keptHarmonics)) - marginS;
}

/// Until when the octave's decay was recorded.
double recordedUntilS(const ImpulseFacts& f, double centreHz, double quietToS) {
    if (!f.circular) return quietToS;
    return std::min(quietToS, f.recordedS - f.delayS - f.times.passesS(centreHz * std::numbers::sqrt2));
}

/// The judging of one impulse, octave after octave.
class OctaveByOctave {
public:
    OctaveByOctave(const ImpulseFacts& facts, double arrivalS, double riseDb)
        : facts_(facts),
          arrivalS_(arrivalS),
          quietToS_(quietEndS(facts, arrivalS)),
          // A click becomes a falling sweep: in one octave it lasts as long as the excitation takes to pass
          // the filter.
          windowS_(facts.times.sweep && facts.circular ? facts.times.sweep->rateS() * std::numbers::ln2 * 0.6
                                                       : 0.1),
          leastRise_(std::pow(10, riseDb / 10)) {}

    void judge(const OctaveBlocks& blocks, double centreHz, std::size_t b, ImpulseJudgement& out) {
        const double ring = ringPeriods / centreHz;
        TimeSpan quiet{arrivalS_ + 0.15 * (quietToS_ - arrivalS_), quietToS_ - ring};
        const TimeSpan before{0, arrivalS_ - marginS / 2 - ring};
        if (!facts_.circular && before.lengthS() >= shortestQuietS) {
            quiet = before;
            out.noiseFromBefore = true;
        }
        const double noise = steadyNoise(blocks, quiet);
        const double until = recordedUntilS(facts_, centreHz, quietToS_);
        out.noise[b] = noise;
        if (!std::isfinite(noise) || until <= arrivalS_) return;
        out.decayS[b] = decayTime(blocks, arrivalS_, until, noise);
        const double end = arrivalS_ + std::max(ring, std::isfinite(out.decayS[b]) ? out.decayS[b] : 0);
        const double from = arrivalS_ - 2.5 / centreHz;
        out.energy[b] = std::max(0.0, blocks.sum(from, end) - noise * (end - from));
        latestDecayS_ = std::max(latestDecayS_, end);
        if (!facts_.circular) return;
        const TimeSpan empty{end + 0.25 * (end - arrivalS_) + 2 * marginS + ring, quietToS_ - ring};
        if (empty.lengthS() < 2 * windowS_) return;
        linear_ += out.energy[b];
        residue_ += blocks.sum(empty.fromS, empty.toS) / empty.lengthS();
        if (centreHz > lowestScannedHz) scan(blocks, empty, b, noise, out);
    }

    double latestDecayS() const { return latestDecayS_; }
    double residueDb() const { return decibels(residue_ / linear_); }

private:
    /// A driver's even-order distortion shifts its rest position while a sweep plays; when the sweep ends it swings
    /// back, which is heard in the low octaves and is no noise.
    TimeSpan offsetEnds(double centreHz, double decayS) const {
        if (!facts_.times.sweep || centreHz > highestOffsetHz) return {0, 0};
        double at = facts_.times.endS + arrivalS_ - facts_.times.passesS(centreHz);
        if (at > facts_.durationS()) at -= facts_.durationS();
        return {at - windowS_, at + windowS_ + ringPeriods / centreHz + (std::isfinite(decayS) ? decayS : 0)};
    }

    /// The greatest rise that is loud enough to matter; where an offset may end, only what is louder than that.
    Rise scanned(const OctaveBlocks& blocks, const TimeSpan& empty, double centreHz, double noise, double energy,
                 double decayS) const {
        const TimeSpan offset = offsetEnds(centreHz, decayS);
        const auto cutAt = [&](double t) { return std::clamp(t, empty.fromS, empty.toS); };
        const double from = cutAt(offset.fromS), to = cutAt(offset.toS);
        Rise best;
        for (const auto& [part, least] : {std::pair{TimeSpan{empty.fromS, from}, negligible},
                                          {TimeSpan{from, to}, offsetAllowance},
                                          {TimeSpan{to, empty.toS}, negligible}}) {
            const Rise rise = scannedPart(blocks, part, centreHz, noise);
            if (rise.energy > least * energy && rise.energy > best.energy) best = rise;
        }
        return best;
    }

    /// An end of the recording that was not faded cuts hum and rumble off, which looks like a click at that
    /// instant.
    Rise scannedPart(const OctaveBlocks& blocks, const TimeSpan& empty, double centreHz, double noise) const {
        const double passes = facts_.delayS + facts_.times.passesS(centreHz);
        const double end = facts_.recordedS - passes, begin = facts_.durationS() - passes;
        TimeSpan cut{facts_.fadedOut ? begin - windowS_ : end - windowS_,
                     facts_.fadedIn ? end + windowS_ : begin + windowS_};
        if (facts_.fadedIn && facts_.fadedOut) cut = {empty.toS, empty.toS};
        Rise best;
        for (const TimeSpan& part : {TimeSpan{empty.fromS, std::min(empty.toS, cut.fromS)},
                                     TimeSpan{std::max(empty.fromS, cut.toS), empty.toS}}) {
            if (part.lengthS() < 1.5 * windowS_) continue;
            const Rise rise = greatestRise(blocks, part, windowS_, noise, centreHz);
            if (rise.energy > best.energy) best = rise;
        }
        return best;
    }

    void scan(const OctaveBlocks& blocks, const TimeSpan& empty, std::size_t octave, double noise,
              ImpulseJudgement& out) {
        const double centreHz = judgedOctavesHz()[octave], energy = out.energy[octave];
        const Rise rise = scanned(blocks, empty, centreHz, noise, energy, out.decayS[octave]);
        const double limit = std::max(leastRise_, 1 + significance / std::sqrt(rise.independent));
        if (!(rise.ratio > limit)) return;
        const double riseDb = decibels(rise.ratio);
        if (out.disturbance && out.disturbance->riseDb >= riseDb) return;
        double at = rise.atS + facts_.delayS + facts_.times.passesS(centreHz);
        if (at > facts_.recordedS) at -= facts_.durationS();
        out.disturbance = {std::max(0.0, at), riseDb, octave};
    }

    const ImpulseFacts& facts_;
    double arrivalS_, quietToS_, windowS_, leastRise_;
    double latestDecayS_ = 0, linear_ = 0, residue_ = 0;
};

std::optional<FirstArrival> arrivalOf(const ImpulseFacts& f) {
    const double to = quietEndS(f, 0), from = f.circular ? -0.005 : 0;
    const auto sample = [&](double t) { return sampleAt(t, f.sampleRateHz); };
    return firstArrival(f.impulse, f.sampleRateHz, f.band.highHz, sample(from), sample(to), sample(0.5 * to),
                        sample(to));
}

/// For impulse responses by themselves: what lies ahead of the arrival.
double precursor(const ImpulseFacts& f, double arrivalS, double decayedS) {
    const TimeSpan empty{0, arrivalS - 0.001};
    if (empty.lengthS() < 0.001) return unknown;
    const double linear = energyOf(f, empty.toS, decayedS);
    return decibels(energyOf(f, empty.fromS, empty.toS) / empty.lengthS() / linear);
}

}  // namespace

double ExcitationTimes::passesS(double frequencyHz) const {
    if (!sweep) return endS;
    const double passes = beginS + sweep->rateS() * std::log(frequencyHz / sweep->startHz);
    return std::clamp(passes, beginS, endS);
}

ExcitationTimes excitationTimes(std::span<const float> samples, double sampleRateHz,
                                const std::optional<ExponentialSweep>& sweep) {
    if (sweep) return {sweep->beginS, sweep->beginS + sweep->durationS, sweep};
    float greatest = 0;
    for (const float s : samples) greatest = std::max(greatest, std::abs(s));
    const auto audible = [&](float s) { return std::abs(s) > 1e-3F * greatest; };
    const auto first = std::find_if(samples.begin(), samples.end(), audible) - samples.begin();
    const auto last = samples.rend() - std::find_if(samples.rbegin(), samples.rend(), audible);
    return {static_cast<double>(first) / sampleRateHz, static_cast<double>(last) / sampleRateHz,
            std::nullopt};
}

ImpulseJudgement judgeImpulse(const ImpulseFacts& facts, const OctaveBank& bank, OctaveBank::Workspace& w,
                              double riseDb) {
    ImpulseJudgement out{};
    out.noise = out.energy = out.decayS = std::vector<double>(bank.count(), unknown);
    out.residueDb = unknown;
    out.arrival = arrivalOf(facts);
    if (!out.arrival) return out;
    const double arrivalS = std::max(0.0, out.arrival->timeS);
    OctaveByOctave octaves(facts, arrivalS, riseDb);
    for (std::size_t b = 0; b < bank.count(); ++b) {
        const double centre = judgedOctavesHz()[b];
        if (bank.usable(b)) octaves.judge(bank.blocks(b, facts.spectrum, w), centre, b, out);
    }
    out.residueDb = facts.circular ? octaves.residueDb() : precursor(facts, arrivalS, octaves.latestDecayS());
    out.direct = directSound(facts, arrivalS);
    return out;
}

}  // namespace volvelle
