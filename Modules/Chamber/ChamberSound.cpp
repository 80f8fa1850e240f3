#include "Chamber/ChamberSound.h"

#include "Chamber/Noise.h"
#include "Chamber/Resampling.h"
#include "Quantities/ReferencePressure.h"
#include "Run/Capture.h"
#include "Signal/ComplexLoops.h"
#include "Signal/FourierTransform.h"
#include "Text/Error.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <utility>

namespace volvelle {

namespace {

double pascal(double levelDb) {
    return referencePressurePa * std::pow(10, levelDb / 20);
}

/// Power of noise in a bin, over that of white noise of the same samples' rms 1.
double noisePower(const SceneNoise& noise, double frequencyHz, double sampleRateHz) {
    const double power = pascal(noise.levelDb) * pascal(noise.levelDb);
    if (noise.colour == NoiseColour::white) return power;
    constexpr double fromHz = 20, toHz = 20000;
    if (frequencyHz < fromHz || frequencyHz > toHz) return 0;
    return power * sampleRateHz / 2 / (frequencyHz * std::log(toHz / fromHz));
}

std::vector<Cap> capsOf(const Scene& scene) {
    std::vector<Cap> caps;
    for (const SceneDriver& driver : scene.drivers) caps.push_back(driver.cap);
    return caps;
}

std::function<double(double, double)> airGain(const Scene& scene, const Air& air) {
    if (!scene.airAbsorbs) return {};
    return [air](double frequencyHz, double distanceM) {
        return std::pow(10, -absorptionDbPerM(air, frequencyHz) * distanceM / 20);
    };
}

const SceneFault* inForce(const std::vector<SceneFault>& faults, FaultKind kind) {
    for (const SceneFault& fault : faults)
        if (fault.kind == kind) return &fault;
    return nullptr;
}

bool isAbout(const std::vector<SceneFault>& faults, FaultKind kind, const std::string& section) {
    return std::ranges::any_of(
        faults, [&](const SceneFault& fault) { return fault.kind == kind && fault.section == section; });
}

/// The section whose signal a section hears.
std::string sourceOf(const std::string& section, const std::vector<SceneFault>& faults) {
    std::string source = section;
    for (const SceneFault& fault : faults) {
        if (fault.kind != FaultKind::sectionsSwapped) continue;
        if (source == fault.section)
            source = fault.otherSection;
        else if (source == fault.otherSection)
            source = fault.section;
    }
    return source;
}

constexpr std::size_t samplesLostAtOnce = 64;

}  // namespace

struct ChamberSound::Taking {
    const AudioShot& shot;
    const Place& place;
    const std::vector<SceneFault>& faults;
    std::vector<std::vector<float>> outputs;  ///< of shot.outputs, as the converter plays them
    std::size_t length = 0, count = 0;        ///< of the spectra; of samples to record
    double delayS = 0;
    std::uint64_t seed = 0;
    ChamberSpectrum spectrum = {};

    Noise draw(std::uint64_t purpose) const {
        const std::array<std::uint64_t, 2> parts{seed, purpose};
        return Noise(mixedSeed(parts));
    }
    double uniform(std::uint64_t purpose) const {
        const std::array<std::uint64_t, 2> parts{seed, purpose};
        return static_cast<double>(mixedSeed(parts) >> 11) * 0x1p-53;
    }
    const std::vector<float>* output(int channel) const {
        for (std::size_t i = 0; i < outputs.size(); ++i)
            if (shot.outputs[i].channel == channel) return &outputs[i];
        return nullptr;
    }
    enum Purpose : std::uint64_t { start = 1, room, click, burst, loss, input = 100 };
};

ChamberSound::ChamberSound(const Plan& plan, const Scene& scene, const Air& air, std::uint64_t seed)
    : plan_(plan),
      scene_(scene),
      air_(air),
      seed_(seed),
      sampleRateHz_(orElse(plan.audio.sampleRateHz, 48000)),
      pascalPerFullScale_(plan.pascalPerFullScale),
      latencyS_(orElse(plan.latencyS, 0)),
      drivers_(scene.drivers, sampleRateHz_, orElse(plan.voltsPerFullScale, 1)),
      bank_({scene.sphereRadiusM, speedOfSound(air), density(air)}, capsOf(scene), 0.53 * sampleRateHz_,
            airGain(scene, air)) {
}

int ChamberSound::firstChannel(const std::string& section) const {
    for (const SectionPlan& known : plan_.sections)
        if (known.name == section && !known.outputChannels.empty()) return known.outputChannels.front();
    return 0;
}

int ChamberSound::channelOf(const SceneDriver& driver) const {
    return driver.outputChannel > 0 ? driver.outputChannel : firstChannel(driver.section);
}

/// Long enough that what has not decayed at the end of the recording does not come round to its beginning.
std::size_t ChamberSound::lengthFor(const AudioShot& shot) const {
    double settling = 0;
    for (const SceneDriver& driver : scene_.drivers) settling = std::max(settling, settlingS(driver.filter));
    double reflected = 0;
    for (const SceneReflection& reflection : scene_.reflections)
        reflected = std::max(reflected, reflection.delayS + 4 / reflection.belowHz);
    const double extra = settling + reflected + latencyS_ + scene_.converters.latencyS +
                         scene_.converters.startJitterS +
                         (orElse(plan_.distanceM, 1) + 20 * scene_.sphereRadiusM) / speedOfSound(air_);
    std::size_t longest = shot.samples + samplesLostAtOnce;
    for (const OutputSignal& output : shot.outputs) longest = std::max(longest, output.samples.size());
    return fastLength(longest + static_cast<std::size_t>(extra * sampleRateHz_) + 16);
}

std::vector<std::vector<float>> ChamberSound::heardOutputs(const AudioShot& shot,
                                                           const std::vector<SceneFault>& faults) const {
    const SceneFault* loud = inForce(faults, FaultKind::levelTooHigh);
    const double gain = loud == nullptr ? 1 : std::pow(10, orElse(loud->amountDb, 20) / 20);
    std::vector<std::vector<float>> heard;
    for (const OutputSignal& output : shot.outputs) {
        std::vector<float>& samples = heard.emplace_back(output.samples);
        for (float& x : samples) x = std::clamp(x, -1.0F, 1.0F);
        if (loud != nullptr && output.channel != plan_.audio.loopbackOutput)
            for (float& x : samples) x = static_cast<float>(gain * double{x});
    }
    return heard;
}

void ChamberSound::addSections(Taking& take) {
    std::vector<SoundPart> parts;
    for (std::size_t d = 0; d < scene_.drivers.size(); ++d) {
        const SceneDriver& driver = scene_.drivers[d];
        if (isAbout(take.faults, FaultKind::sectionDead, driver.section)) continue;
        const std::string source = sourceOf(driver.section, take.faults);
        const auto* samples =
            take.output(source == driver.section ? channelOf(driver) : firstChannel(source));
        if (samples == nullptr) continue;
        const double sign = isAbout(take.faults, FaultKind::sectionReversed, driver.section) ? -1 : 1;
        parts.push_back({d, drivers_.acceleration(d, *samples, take.length), sign});
    }
    addPressure(bank_.at(take.place.direction, take.place.distanceM), parts,
                {sampleRateHz_ / static_cast<double>(take.length), speedOfSound(take.place.air),
                 speedOfSound(air_), density(take.place.air) / density(air_), take.delayS + latencyS_},
                take.spectrum);
}

void ChamberSound::addReflections(Taking& take) {
    if (scene_.reflections.empty()) return;
    ChamberSpectrum& factor = reflectionsOfLength_[take.length];
    if (factor.empty()) {
        factor.assign(take.spectrum.size(), 1);
        for (const SceneReflection& reflection : scene_.reflections) {
            DriverFilter path;
            path.gainDb = reflection.gainDb;
            path.cutoffHz = reflection.belowHz;
            path.delayS = reflection.delayS;
            for (std::size_t k = 0; k < factor.size(); ++k)
                factor[k] += relativeResponse(
                    path, static_cast<double>(k) * sampleRateHz_ / static_cast<double>(take.length));
        }
    }
    multiplyInPlace<double>(take.spectrum, factor);
}

void ChamberSound::addNoise(Taking& take) {
    std::vector<double>& amplitude = noiseOfLength_[take.length];
    if (amplitude.empty()) {
        const double own = std::pow(10, scene_.converters.noiseDb / 20) * pascalPerFullScale_;
        for (std::size_t k = 0; k < take.spectrum.size(); ++k) {
            const double f = static_cast<double>(k) * sampleRateHz_ / static_cast<double>(take.length);
            const double power = own * own + noisePower(scene_.microphoneNoise, f, sampleRateHz_) +
                                 noisePower(scene_.background, f, sampleRateHz_);
            amplitude.push_back(std::sqrt(power * static_cast<double>(take.length) / 2));
        }
        amplitude.front() = 0;
    }
    if (std::ranges::all_of(amplitude, [](double a) { return a == 0; })) return;
    Noise noise = take.draw(Taking::room);
    for (std::size_t k = 0; k < amplitude.size(); ++k) {
        const double real = noise();
        take.spectrum[k] += std::complex<double>(amplitude[k] * real, amplitude[k] * noise());
    }
}

std::vector<double> ChamberSound::samplesOf(ChamberSpectrum& spectrum, const Taking& take) const {
    const double ppm = scene_.converters.recorderOffsetPpm;
    if (ppm != 0) return resampled(spectrum, take.length, ppm, take.count);
    const RealTransform<double> transform(take.length);
    AlignedVector<double> samples(take.length);
    transform.inverse(spectrum.data(), samples.data());
    std::vector<double> out(take.count);
    for (std::size_t n = 0; n < out.size(); ++n) out[n] = samples[n] / static_cast<double>(take.length);
    return out;
}

void ChamberSound::addDisturbances(Taking& take, std::vector<double>& pressure) const {
    const auto somewhere = [&](std::uint64_t purpose) {
        return static_cast<std::size_t>((0.2 + 0.5 * take.uniform(purpose)) *
                                        static_cast<double>(pressure.size()));
    };
    if (const SceneFault* bang = inForce(take.faults, FaultKind::bang)) {
        const double decay = 0.01 * sampleRateHz_;
        const std::size_t begin = somewhere(Taking::click);
        for (std::size_t n = begin; n < pressure.size() && static_cast<double>(n - begin) < 12 * decay; ++n) {
            const double since = static_cast<double>(n - begin);
            pressure[n] += pascal(orElse(bang->amountDb, 90)) * std::exp(-since / decay) *
                           std::cos(2 * std::numbers::pi * 170 * since / sampleRateHz_);
        }
    }
    if (const SceneFault* burst = inForce(take.faults, FaultKind::noiseBurst)) {
        Noise noise = take.draw(Taking::burst);
        const std::size_t begin = somewhere(Taking::burst);
        const std::size_t end =
            std::min(pressure.size(), begin + static_cast<std::size_t>(0.3 * sampleRateHz_));
        for (std::size_t n = begin; n < end; ++n)
            pressure[n] += pascal(orElse(burst->amountDb, 75)) * noise();
    }
}

std::vector<double> ChamberSound::microphone(Taking& take) {
    take.spectrum.assign(take.length / 2 + 1, 0);
    addSections(take);
    addReflections(take);
    addNoise(take);
    std::vector<double> samples = samplesOf(take.spectrum, take);
    addDisturbances(take, samples);
    double gain = 1 / pascalPerFullScale_;
    if (const SceneFault* clip = inForce(take.faults, FaultKind::clipping)) {
        double peak = 0;
        for (const double p : samples) peak = std::max(peak, std::abs(p));
        if (peak > 0) gain = std::pow(10, orElse(clip->amountDb, 6) / 20) / peak;
    }
    for (double& x : samples) x *= gain;
    return samples;
}

/// What an output plays as an input hears it, by wire.
std::vector<double> ChamberSound::loopback(Taking& take) {
    std::vector<double> samples(take.count);
    const auto* played = take.output(plan_.audio.loopbackOutput);
    if (played != nullptr && inForce(take.faults, FaultKind::loopbackUnplugged) == nullptr) {
        ChamberSpectrum spectrum = drivers_.signal(*played, take.length);
        delaySpectrum(take.delayS * sampleRateHz_ / static_cast<double>(take.length), spectrum);
        samples = samplesOf(spectrum, take);
        const double gain = orElse(plan_.voltsPerFullScale / plan_.loopbackVoltsPerFullScale, 1) *
                            std::pow(10, scene_.converters.loopbackErrorDb / 20);
        for (double& x : samples) x *= gain;
    }
    return samples;
}

std::vector<float> ChamberSound::converted(const std::vector<double>& fullScale) const {
    std::vector<float> out(fullScale.size());
    const int bits = scene_.converters.bits;
    const double steps = bits > 0 ? std::ldexp(1, bits - 1) : 0;
    for (std::size_t n = 0; n < out.size(); ++n) {
        if (bits > 0)
            out[n] = static_cast<float>(std::clamp(std::nearbyint(fullScale[n] * steps), -steps, steps - 1) /
                                        steps);
        else
            out[n] = static_cast<float>(fullScale[n]);
    }
    return out;
}

std::vector<std::vector<float>> ChamberSound::record(const AudioShot& shot, const Place& place,
                                                     const std::vector<SceneFault>& faults) {
    Taking take{shot, place, faults, heardOutputs(shot, faults)};
    const std::array<std::uint64_t, 2> parts{seed_, seedOf(shot.label)};
    take.seed = mixedSeed(parts);
    take.length = lengthFor(shot);
    const bool isShort = inForce(faults, FaultKind::samplesLost) != nullptr;
    take.count = shot.samples + (isShort ? samplesLostAtOnce : 0);
    take.delayS = scene_.converters.latencyS + scene_.converters.startJitterS * take.uniform(Taking::start);
    const double noiseRms = std::pow(10, scene_.converters.noiseDb / 20);
    std::vector<std::vector<float>> channels;
    for (const int input : shot.inputs) {
        std::vector<double> samples(take.count);
        if (input == plan_.audio.microphoneInput) {
            samples = microphone(take);
        } else {
            if (input == plan_.audio.loopbackInput) samples = loopback(take);
            Noise noise = take.draw(Taking::input + static_cast<std::uint64_t>(input));
            if (noiseRms > 0)
                for (double& x : samples) x += noiseRms * noise();
        }
        if (isShort) {
            const auto lost = static_cast<std::ptrdiff_t>((0.2 + 0.5 * take.uniform(Taking::loss)) *
                                                          static_cast<double>(shot.samples));
            samples.erase(samples.begin() + lost,
                          samples.begin() + lost + static_cast<std::ptrdiff_t>(samplesLostAtOnce));
        }
        channels.push_back(converted(samples));
    }
    return channels;
}

}  // namespace volvelle
