#include "Quality/Judge.h"

#include "Quality/ImpulseJudgement.h"
#include "Quality/NoiseLevel.h"
#include "Quality/OctaveNames.h"
#include "Quantities/Level.h"
#include "Quantities/ReferencePressure.h"
#include "Signal/Deconvolution.h"
#include "Signal/Sums.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <algorithm>
#include <cmath>
#include <mutex>
#include <numbers>
#include <utility>

namespace volvelle {
namespace {

constexpr double steadyRiseDb = 12;  // of the noise during the sweep above that before it
constexpr double longestFadeS = 0.1, fadeShare = 0.45, leastFade = 0.4;
constexpr double negligibleDb = -75;  // noise of 0.2 s re the octave's energy

float greatest(std::span<const float> samples) {
    float top = 0;
    for (const float s : samples) top = std::max(top, std::abs(s));
    return top;
}

/// Longest run of consecutive samples at one end of the range of integers of so many bits, left-justified
/// in 32.
double longestFullScaleRun(const IntegerSamples& integers) {
    const auto largest = (std::int64_t{1} << (integers.bits - 1)) - 1;
    const auto top = static_cast<std::int32_t>(largest << (32 - integers.bits));
    std::size_t longest = 0, run = 0;
    int side = 0;
    for (const std::int32_t s : integers.leftJustified) {
        const int here = s >= top ? 1 : s <= -top ? -1 : 0;
        run = here != 0 && here == side ? run + 1 : here != 0 ? 1 : 0;
        side = here;
        longest = std::max(longest, run);
    }
    return static_cast<double>(longest);
}

std::string clippedText(double samples) {
    return "clipped: " + fixedText(samples, 0) + " consecutive samples at full scale";
}

std::string disturbanceText(const ImpulseJudgement::Disturbance& d) {
    return "a noise during the sweep: about " + fixedText(d.atS, 1) + " s after the start, " +
           fixedText(d.riseDb, 0) + " dB above the steady noise in the octave of " + octaveName(d.octave);
}

void removeMean(std::span<float> samples) {
    const auto mean = static_cast<float>(meanOf(samples));
    for (float& s : samples) s -= mean;
}

/// Fades the first samples in, so that hum does not begin with a click. False where there is no room for it.
bool fadeIn(std::span<float> samples, double room, double wanted) {
    const auto count = static_cast<std::size_t>(
        std::clamp(std::min(room, wanted), 0.0, static_cast<double>(samples.size())));
    if (static_cast<double>(count) < wanted * leastFade) return false;
    for (std::size_t i = 0; i < count; ++i)
        samples[i] *= static_cast<float>(
            0.5 - 0.5 * std::cos(std::numbers::pi * static_cast<double>(i) / static_cast<double>(count)));
    return true;
}

struct Memory {
    std::optional<Deconvolution::Workspace> deconvolution;
    AlignedVector<float> impulse;
    std::vector<float> faded;  ///< the microphone's recording with its ends faded
    AlignedVector<std::complex<float>> spectrum;
    OctaveBank::Workspace octaves;
};

}  // namespace

struct Judge::State {
    State(const DriveRecord& drive, const Calibration& calibration, const JudgeSettings& settings);

    Judgement judge(std::span<const float> microphone, std::span<const float> loopback,
                    const IntegerSamples& integers);

    CaptureForm form;
    double rate;
    double pascalPerFullScale;
    double loopbackScale;  ///< volts at the loopback's full scale re those at the excitation's
    JudgeSettings settings;
    std::size_t length = 0;  ///< of impulses
    Band band{};
    ExcitationTimes times;
    double excitationEnergy = 0;
    std::optional<Deconvolution> deconvolution;
    std::optional<OctaveBank> bank;
    std::vector<double>
        whiteNoise;  ///< per octave: noise per second in the impulse for a mean square of 1 in the recording

private:
    void predictWhiteNoise(std::span<const float> excitation);
    void fillImpulse(std::span<const float> microphone, std::span<const float> loopback, Memory& memory,
                     ImpulseFacts& facts) const;
    void takeOver(const ImpulseJudgement& found, Judgement& out) const;
    void judgeNoise(std::span<const float> microphone, std::span<const float> loopback,
                    const ImpulseJudgement& found, Judgement& out) const;
    TimeSpan tail(const Judgement& judged, double delayS, double recordedS) const;
    void compareWithSilence(const std::vector<double>& powers, double loopbackGain,
                            const ImpulseJudgement& found, Judgement& out) const;

    std::unique_ptr<Memory> borrow();
    void giveBack(std::unique_ptr<Memory> memory);
    std::mutex mutex_;
    std::vector<std::unique_ptr<Memory>> store_;
};

Judge::State::State(const DriveRecord& drive, const Calibration& calibration, const JudgeSettings& s)
    : form(drive.form),
      rate(drive.sampleRateHz),
      pascalPerFullScale(calibration.pascalPerFullScale),
      loopbackScale(calibration.loopbackVoltsPerFullScale / calibration.voltsPerFullScale),
      settings(s) {
    if (form == CaptureForm::textResponse) return;
    if (form == CaptureForm::recording) {
        deconvolution.emplace(drive.excitation.samples, rate, drive.samplesPerChannel);
        length = deconvolution->length();
        band = deconvolution->band();
        times = excitationTimes(drive.excitation.samples, rate, deconvolution->sweep());
    } else {
        length = fastLength(std::max<std::size_t>(drive.samplesPerChannel, 2));
        band = {10, rate / 2};
    }
    bank.emplace(length, rate, band);
    if (form == CaptureForm::recording) predictWhiteNoise(drive.excitation.samples);
}

void Judge::State::predictWhiteNoise(std::span<const float> excitation) {
    const RealTransform<float> transform(length);
    AlignedVector<float> padded(length);
    AlignedVector<std::complex<float>> spectrum(transform.bins());
    std::copy(excitation.begin(), excitation.end(), padded.begin());
    excitationEnergy = energyOf(excitation);
    transform.forward(padded.data(), spectrum.data());
    const double binHz = rate / static_cast<double>(length);
    whiteNoise.assign(bank->count(), 0);
    for (std::size_t k = 1; k < spectrum.size(); ++k) {
        const double f = static_cast<double>(k) * binHz;
        if (f < band.lowHz || f > band.highHz) continue;
        const double gain = std::norm(deconvolution->shape().at(f)) / double{std::norm(spectrum[k])};
        for (std::size_t b = 0; b < whiteNoise.size(); ++b) {
            const double weight = bank->usable(b) ? bank->weight(b, f) : 0;
            whiteNoise[b] += weight * weight * gain * 2 / static_cast<double>(length) * rate;
        }
    }
}

std::unique_ptr<Memory> Judge::State::borrow() {
    {
        const std::lock_guard lock(mutex_);
        if (!store_.empty()) {
            auto memory = std::move(store_.back());
            store_.pop_back();
            return memory;
        }
    }
    auto memory = std::make_unique<Memory>();
    memory->impulse.resize(length);
    memory->spectrum.resize(length / 2 + 1);
    if (deconvolution) memory->deconvolution.emplace(*deconvolution);
    return memory;
}

void Judge::State::giveBack(std::unique_ptr<Memory> memory) {
    const std::lock_guard lock(mutex_);
    store_.push_back(std::move(memory));
}

void Judge::State::fillImpulse(std::span<const float> microphone, std::span<const float> loopback,
                               Memory& memory, ImpulseFacts& facts) const {
    if (deconvolution) {
        memory.faded.assign(microphone.begin(), microphone.end());
        removeMean(memory.faded);
        facts.fadedIn =
            fadeIn(memory.faded, fadeShare * (facts.delayS + times.beginS) * rate, longestFadeS * rate);
        std::reverse(memory.faded.begin(), memory.faded.end());
        const double tailS = facts.recordedS - facts.delayS - times.endS;
        facts.fadedOut = fadeIn(memory.faded, fadeShare * tailS * rate, longestFadeS * rate);
        std::reverse(memory.faded.begin(), memory.faded.end());
        deconvolution->impulse(memory.faded, loopback, *memory.deconvolution, memory.impulse);
    } else {
        if (microphone.size() > length)
            throw Error(ErrorKind::bug, "an impulse response longer than announced", "judging",
                        "Please report this");
        std::copy(microphone.begin(), microphone.end(), memory.impulse.begin());
        std::fill(memory.impulse.begin() + std::ssize(microphone), memory.impulse.end(), 0.0F);
    }
    RealTransform<float>(length).forward(memory.impulse.data(), memory.spectrum.data());
    facts.impulse = memory.impulse;
    facts.spectrum = memory.spectrum;
}

Judgement Judge::State::judge(std::span<const float> microphone, std::span<const float> loopback,
                              const IntegerSamples& integers) {
    Judgement out;
    if (form == CaptureForm::textResponse) return out;
    if (integers.bits > 1 && !integers.leftJustified.empty())
        out.clippedSamples = longestFullScaleRun(integers);
    if (out.clippedSamples >= settings.clippedRun) out.doubts.push_back(clippedText(out.clippedSamples));
    const bool recording = form == CaptureForm::recording;
    if (recording)
        out.peakPa = double{greatest(microphone)} * pascalPerFullScale;
    else
        loopback = {};

    auto memory = borrow();
    if (!loopback.empty()) {
        out.loopbackDelayS = deconvolution->delayS(loopback, *memory->deconvolution);
        out.loopbackLevelDb = decibels(energyOf(loopback) / excitationEnergy * loopbackScale * loopbackScale);
    }
    ImpulseFacts facts;
    facts.sampleRateHz = rate;
    facts.recordedS = static_cast<double>(microphone.size()) / rate;
    facts.delayS = loopback.empty() ? 0 : out.loopbackDelayS;
    facts.band = band;
    facts.circular = recording;
    facts.times = times;
    fillImpulse(microphone, loopback, *memory, facts);
    const ImpulseJudgement found = judgeImpulse(facts, *bank, memory->octaves, settings.noiseRiseDb);
    giveBack(std::move(memory));

    takeOver(found, out);
    if (recording) judgeNoise(microphone, loopback, found, out);
    return out;
}

void Judge::State::takeOver(const ImpulseJudgement& found, Judgement& out) const {
    out.decayS = found.decayS;
    out.impulseNoiseDb.assign(found.noise.size(), notStated);
    for (std::size_t b = 0; b < found.noise.size(); ++b)
        out.impulseNoiseDb[b] = decibels(found.noise[b] / found.energy[b]);
    out.noiseDb.assign(found.noise.size(), notStated);
    out.residueDb = found.residueDb;
    out.direct = found.direct;
    if (!found.arrival) {
        out.doubts.push_back("no arrival stands out of the noise");
        return;
    }
    out.arrivalS = found.arrival->timeS;
    out.polarity = found.arrival->polarity;
    if (found.disturbance) out.doubts.push_back(disturbanceText(*found.disturbance));
    if (form == CaptureForm::impulseResponse)
        out.noiseSource = found.noiseFromBefore ? NoiseSource::silence : NoiseSource::tail;
}

/// What was recorded after everything has decayed.
TimeSpan Judge::State::tail(const Judgement& judged, double delayS, double recordedS) const {
    const double arrives = delayS + judged.arrivalS;
    double from = arrives + times.endS + 0.05;
    for (std::size_t b = 0; b < judged.decayS.size(); ++b)
        if (std::isfinite(judged.decayS[b]))
            from = std::max(from, arrives + times.passesS(judgedOctavesHz()[b] * 1.41) + judged.decayS[b]);
    return {from, recordedS};
}

void Judge::State::judgeNoise(std::span<const float> microphone, std::span<const float> loopback,
                              const ImpulseJudgement& found, Judgement& out) const {
    if (!found.arrival) return;
    const double delay = loopback.empty() ? 0 : out.loopbackDelayS;
    const double recorded = static_cast<double>(microphone.size()) / rate;
    TimeSpan span{0, std::min(delay + times.beginS + out.arrivalS - 0.01, recorded)};
    NoiseSource source = NoiseSource::silence;
    if (span.lengthS() < shortestNoiseS) {
        span = tail(out, delay, recorded);
        source = NoiseSource::tail;
    }
    if (span.lengthS() < shortestNoiseS) return;
    const auto first = static_cast<std::size_t>(std::ceil(span.fromS * rate));
    const auto count = static_cast<std::size_t>(span.lengthS() * rate);
    const auto powers =
        octavePowers(microphone.subspan(first, std::min(count, microphone.size() - first)), rate);
    out.noiseSource = source;
    const double scale = pascalPerFullScale / referencePressurePa;
    for (std::size_t b = 0; b < powers.size(); ++b) out.noiseDb[b] = decibels(powers[b] * scale * scale);
    if (source != NoiseSource::silence) return;
    double gain = 1;
    if (!loopback.empty()) gain = energyOf(loopback) / excitationEnergy;
    compareWithSilence(powers, gain, found, out);
}

void Judge::State::compareWithSilence(const std::vector<double>& powers, double loopbackGain,
                                      const ImpulseJudgement& found, Judgement& out) const {
    double worstDb = steadyRiseDb;
    std::optional<std::size_t> worst;
    for (std::size_t b = 0; b < powers.size(); ++b) {
        const double centre = judgedOctavesHz()[b];
        if (!(powers[b] > 0)) continue;  // digital silence tells nothing of the noise
        const double part = centre * (std::pow(10, 0.15) - std::pow(10, -0.15)) / (rate / 2);
        const double predicted = powers[b] / part * whiteNoise[b] / loopbackGain;
        const double riseDb = decibels(found.noise[b] / predicted);
        if (centre < 100 || !(decibels(0.2 * found.noise[b] / found.energy[b]) > negligibleDb)) continue;
        if (riseDb > worstDb) {
            worstDb = riseDb;
            worst = b;
        }
    }
    if (worst)
        out.doubts.push_back("a noise during the sweep: " + fixedText(worstDb, 0) +
                             " dB above the silence before it in the octave of " + octaveName(*worst));
}

Judge::Judge(const DriveRecord& drive, const Calibration& calibration, const JudgeSettings& settings)
    : state_(std::make_unique<State>(drive, calibration, settings)) {
}
Judge::~Judge() = default;
Judge::Judge(Judge&&) noexcept = default;

Judgement Judge::judge(std::span<const float> microphone, std::span<const float> loopback,
                       const IntegerSamples& integers) const {
    return state_->judge(microphone, loopback, integers);
}

}  // namespace volvelle
