#include "Quality/Synthetic.h"

#include "Signal/Aligned.h"
#include "Signal/FourierTransform.h"

#include <algorithm>
#include <cmath>
#include <random>

namespace volvelle::synthetic {
namespace {

/// Phase of the sweep after the time since its start.
double phaseAt(const ExponentialSweep& s, double t) {
    return 2 * M_PI * s.startHz * s.rateS() * std::exp(t / s.rateS());
}

double fade(double t, double durationS) {
    const double in = std::min(1.0, t / 0.02), out = std::min(1.0, (durationS - t) / 0.002);
    return (0.5 - 0.5 * std::cos(M_PI * in)) * (0.5 - 0.5 * std::cos(M_PI * out));
}

}  // namespace

ExponentialSweep Scene::sweep() const {
    ExponentialSweep s = synchronisedSweep(lowHz, highHz, sweepS);
    s.beginS = beginS;
    return s;
}

std::size_t Scene::samples() const {
    return static_cast<std::size_t>(std::llround((beginS + sweep().durationS + tailS) * rate));
}

std::vector<float> Scene::excitation() const {
    const ExponentialSweep s = sweep();
    std::vector<float> out(static_cast<std::size_t>((beginS + s.durationS) * rate));
    for (std::size_t n = 0; n < out.size(); ++n) {
        const double t = static_cast<double>(n) / rate - beginS;
        if (t >= 0 && t <= s.durationS)
            out[n] = static_cast<float>(amplitude * std::sin(phaseAt(s, t)) * fade(t, s.durationS));
    }
    return out;
}

std::vector<double> Scene::through(const Response& response, double secondHarmonic) const {
    const ExponentialSweep s = sweep();
    const RealTransform<double> transform(fastLength(2 * samples()));
    AlignedVector<double> x(transform.size());
    const auto dry = excitation();
    for (std::size_t n = 0; n < dry.size(); ++n) {
        const double t = static_cast<double>(n) / rate - beginS;
        x[n] = double{dry[n]};
        const double doubled = 2 * s.startHz * std::exp(t / s.rateS());
        if (t >= 0 && t <= s.durationS && doubled < 0.45 * rate)
            x[n] += amplitude * secondHarmonic * std::sin(2 * phaseAt(s, t)) * fade(t, s.durationS);
    }
    AlignedVector<std::complex<double>> spectrum(transform.bins());
    transform.forward(x.data(), spectrum.data());
    const double size = static_cast<double>(transform.size());
    for (std::size_t k = 0; k < spectrum.size(); ++k)
        spectrum[k] *= response(static_cast<double>(k) * rate / size) / (size * pascalPerFullScale);
    transform.inverse(spectrum.data(), x.data());
    return {x.begin(), x.begin() + static_cast<std::ptrdiff_t>(samples())};
}

DriveRecord Scene::drive(bool loopback) const {
    DriveRecord drive;
    drive.name = "front";
    drive.sampleRateHz = rate;
    drive.bitsPerSample = 24;
    drive.channelRoles = {"microphone"};
    if (loopback) drive.channelRoles.push_back("loopback");
    drive.samplesPerChannel = samples();
    drive.excitation.samples = excitation();
    drive.excitation.sampleRateHz = rate;
    return drive;
}

Calibration Scene::calibration() const {
    Calibration calibration;
    calibration.pascalPerFullScale = pascalPerFullScale;
    calibration.voltsPerFullScale = 1;
    return calibration;
}

Response delayed(double levelDb, double delayS) {
    const double gain = 20e-6 * std::pow(10, levelDb / 20) * std::sqrt(2) / amplitude;
    return [=](double f) { return std::polar(gain, -2 * M_PI * f * delayS); };
}

double noiseDeviation(const Scene& scene, double levelDb) {
    return 20e-6 * std::pow(10, levelDb / 20) / scene.pascalPerFullScale;
}

void addNoise(std::vector<double>& samples, double deviation, std::uint64_t seed) {
    std::mt19937_64 generator(seed);
    std::normal_distribution<double> normal(0, deviation);
    for (double& s : samples) s += normal(generator);
}

Recorded recorded(const std::vector<double>& samples) {
    Recorded out;
    constexpr double full = 8388608;
    for (const double s : samples) {
        const auto value = static_cast<std::int32_t>(std::clamp(std::round(s * full), -full, full - 1));
        out.raw.push_back(value * 256);
        out.samples.push_back(static_cast<float>(value / full));
    }
    return out;
}

}  // namespace volvelle::synthetic
