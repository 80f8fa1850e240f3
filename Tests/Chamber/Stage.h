#pragma once

#include "Chamber/SimulatedChamber.h"
#include "Clock/SimulatedClock.h"
#include "Run/Plan.h"
#include "Signal/Deconvolution.h"
#include "Signal/Excitation.h"

#include <cmath>
#include <complex>
#include <string>
#include <utility>
#include <vector>

namespace volvelle::stage {

// A plan and a scene without any imperfection, to be changed by tests, and what measures on them.

constexpr double rate = 48000;
constexpr int frontChannel = 3, rearChannel = 4, loopbackOutput = 5, microphone = 2, loopback = 1;

inline Plan plan() {
    Plan p;
    p.sections.resize(2);
    p.sections[0].name = "front";
    p.sections[0].outputChannels = {frontChannel};
    p.sections[1].name = "rear";
    p.sections[1].outputChannels = {rearChannel};
    p.distanceM = 2;
    p.pascalPerFullScale = 20;
    p.voltsPerFullScale = 2.83;
    p.loopbackVoltsPerFullScale = 5.66;
    p.air = {20, 50, 101.325};
    p.audio.sampleRateHz = rate;
    p.audio.microphoneInput = microphone;
    p.audio.loopbackInput = loopback;
    p.audio.loopbackOutput = loopbackOutput;
    return p;
}

/// Two caps without filters, 24-bit converters switched off, no noise.
inline Scene scene() {
    Scene s;
    s.drivers.resize(2);
    s.drivers[0].section = "front";
    s.drivers[0].cap = {{0, 0}, 24};
    s.drivers[1].section = "rear";
    s.drivers[1].cap = {{180, 0}, 18};
    for (SceneDriver& driver : s.drivers) {
        driver.filter.resonanceHz = 60;
        driver.filter.quality = 0.75;
    }
    s.converters.bits = 0;
    return s;
}

/// A sphere that breathes: p r is the same at any distance and in any direction but for the delay.
inline Scene breathing() {
    Scene s = scene();
    s.drivers.resize(1);
    s.drivers[0].cap.halfAngleDeg = 180;
    return s;
}

struct Chamber {
    SimulatedClock clock{0};
    SimulatedChamber chamber;

    Chamber(const Plan& p, const Scene& s, std::uint64_t seed = 1) : chamber(p, s, seed, clock) {
        chamber.turntable().home({});
    }
    TableResult turn(double tableDeg, double tiltDeg = 0) {
        return chamber.turntable().moveTo({tableDeg, tiltDeg}, {});
    }
    void lay() { chamber.attendant().ask(Attendant::Errand::layOnSide, "on its side", {}); }
    AudioTake play(const AudioShot& shot) { return chamber.audioPath().play(shot, {}); }
};

inline const std::vector<float>& sweep() {
    static const std::vector<float> x = [] {
        const auto samples = sweepSamples(synchronisedSweep(40, 20000, 0.5), rate, 0.02, 0.002);
        std::vector<float> half;
        for (const double v : samples) half.push_back(static_cast<float>(0.5 * v));
        return half;
    }();
    return x;
}

/// The signal on these channels and the loopback's, recorded on microphone and loopback.
inline AudioShot shot(const std::vector<int>& channels, const std::vector<float>& signal,
                      std::size_t samples = 40000, const std::string& label = "shot") {
    AudioShot out;
    out.label = label;
    for (const int channel : channels) out.outputs.push_back({channel, signal});
    out.outputs.push_back({loopbackOutput, signal});
    out.inputs = {microphone, loopback};
    out.samples = samples;
    return out;
}

inline std::vector<float> tone(double frequencyHz, double amplitude, std::size_t samples = 40000) {
    std::vector<float> x(samples);
    for (std::size_t n = 0; n < samples; ++n)
        x[n] = static_cast<float>(
            amplitude * std::sin(2 * M_PI * std::fmod(frequencyHz / rate * static_cast<double>(n), 1.0)));
    return x;
}

/// Complex amplitude (peak, of a sine) in the last `samples`, which have to hold whole turns.
inline std::complex<double> amplitudeAt(const std::vector<float>& x, double frequencyHz,
                                        std::size_t samples = 9600) {
    std::complex<double> sum = 0;
    for (std::size_t n = x.size() - samples; n < x.size(); ++n)
        sum += double{x[n]} *
               std::polar(1.0, -2 * M_PI * std::fmod(frequencyHz / rate * static_cast<double>(n), 1.0));
    return sum * std::complex<double>(0, 2) / static_cast<double>(samples);
}

inline double rms(const std::vector<float>& x) {
    double power = 0;
    for (const float v : x) power += double{v} * double{v};
    return std::sqrt(power / static_cast<double>(x.size()));
}

inline double level(double ratio) {
    return 20 * std::log10(ratio);
}

/// The handbook's second-order high-pass.
inline std::complex<double> highPass(double frequencyHz, double resonanceHz, double quality) {
    const std::complex<double> jw(0, 2 * M_PI * frequencyHz);
    const double w0 = 2 * M_PI * resonanceHz;
    return jw * jw / (jw * jw + jw * w0 / quality + w0 * w0);
}

/// Microphone over loopback at single frequencies, as Modules/Signal finds it with the excitation that was
/// played, by a plain sum over its impulse.
inline std::vector<std::complex<double>> transferAt(const std::vector<double>& frequenciesHz,
                                                    const std::vector<float>& excitation,
                                                    const std::vector<float>& microphoneSamples,
                                                    const std::vector<float>& loopbackSamples) {
    const Deconvolution d(excitation, rate, microphoneSamples.size());
    AlignedVector<float> impulse(d.length());
    Deconvolution::Workspace w(d);
    d.impulse(microphoneSamples, loopbackSamples, w, impulse);
    std::vector<std::complex<double>> out;
    for (const double f : frequenciesHz) {
        std::complex<double> sum = 0;
        for (std::size_t n = 0; n < impulse.size(); ++n)
            sum += double{impulse[n]} *
                   std::polar(1.0, -2 * M_PI * std::fmod(f / rate * static_cast<double>(n), 1.0));
        out.push_back(sum / d.shape().at(f));
    }
    return out;
}

}  // namespace volvelle::stage
