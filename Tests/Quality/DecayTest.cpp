#include "Quality/Judge.h"
#include "Quality/OctaveBlocks.h"
#include "Quality/Synthetic.h"
#include "Signal/Deconvolution.h"

#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

using namespace synthetic;

Judgement judged(const Scene& scene, const std::vector<double>& samples) {
    const Recorded r = recorded(samples);
    return Judge(scene.drive(), scene.calibration()).judge(r.samples, {}, {r.raw, 24});
}

/// A mode in each octave: exp(-t/τ) cos(2πft) from the arrival on.
struct Modes {
    std::vector<double> amplitude, decayS;  ///< per judged octave

    Response response(double delayS) const {
        return [m = *this, delayS](double f) {
            std::complex<double> sum = 0;
            for (std::size_t b = 0; b < m.decayS.size(); ++b) {
                const double off = 2 * M_PI * (f - judgedOctavesHz()[b]),
                             mirrored = 2 * M_PI * (f + judgedOctavesHz()[b]);
                sum += m.amplitude[b] / 2 *
                       (1.0 / std::complex<double>(1 / m.decayS[b], off) +
                        1.0 / std::complex<double>(1 / m.decayS[b], mirrored));
            }
            return sum * std::polar(1.0, -2 * M_PI * f * delayS);
        };
    }
};

/// Noise energy per second in an octave of the impulse of pure noise, from a plain sum over the spectrum.
std::vector<double> noiseRates(const Scene& scene, double deviation) {
    const auto excitation = scene.excitation();
    const Deconvolution deconvolution(excitation, scene.rate, scene.samples());
    const OctaveBank bank(deconvolution.length(), scene.rate, deconvolution.band());
    Deconvolution::Workspace w(deconvolution);
    const RealTransform<float> transform(deconvolution.length());
    AlignedVector<float> impulse(transform.size());
    AlignedVector<std::complex<float>> spectrum(transform.bins());
    std::vector<double> rates(bank.count());
    constexpr int seeds = 10;
    for (int seed = 0; seed < seeds; ++seed) {
        std::vector<double> noise(scene.samples());
        addNoise(noise, deviation, 900 + static_cast<std::uint64_t>(seed));
        const std::vector<float> samples(noise.begin(), noise.end());
        deconvolution.impulse(samples, {}, w, impulse);
        transform.forward(impulse.data(), spectrum.data());
        const double size = static_cast<double>(transform.size());
        for (std::size_t k = 1; k < spectrum.size(); ++k)
            for (std::size_t b = 0; b < rates.size(); ++b) {
                const double weight = bank.weight(b, static_cast<double>(k) * scene.rate / size);
                rates[b] +=
                    2 * double{std::norm(spectrum[k])} / size * weight * weight / (size / scene.rate) / seeds;
            }
    }
    return rates;
}

/// When the modes' energy, seen through an octave's filter, falls to the noise.
double trueDecay(const Modes& modes, std::size_t octave, double noiseRate, double gain, double rate) {
    const auto level = [&](double t) {
        double sum = 0;
        for (std::size_t b = 0; b < modes.decayS.size(); ++b) {
            const double off = std::log2(judgedOctavesHz()[b] / judgedOctavesHz()[octave]) / 0.35;
            const double a = modes.amplitude[b] * gain / rate;  // per sample
            sum += rate * a * a / 2 * std::exp(-off * off - 2 * t / modes.decayS[b]);
        }
        return sum;
    };
    double low = 0, high = 10;
    for (int i = 0; i < 60; ++i) (level((low + high) / 2) > noiseRate ? low : high) = (low + high) / 2;
    return low;
}

class DecayTime : public testing::TestWithParam<double> {};

TEST_P(DecayTime, OfExponentialDecaysInNoiseIsRightTo15Percent) {
    const Scene scene;
    const double noise = noiseDeviation(scene, GetParam());
    const auto rates = noiseRates(scene, noise);
    Modes modes;
    for (const double f : judgedOctavesHz()) {
        modes.decayS.push_back(std::clamp(8 / f, 0.002, 0.06));
        modes.amplitude.push_back(300 * std::pow(f / 1000, 0.5));
    }
    const Judge judge(scene.drive(), scene.calibration());
    const auto clean = scene.through(modes.response(0.006));
    double worst = 0;
    for (std::uint64_t seed = 0; seed < 20; ++seed) {
        auto samples = clean;
        addNoise(samples, noise, 50 + seed);
        const Recorded r = recorded(samples);
        const Judgement j = judge.judge(r.samples, {}, {r.raw, 24});
        for (std::size_t b = 1; b < rates.size(); ++b) {
            const double expected = trueDecay(modes, b, rates[b], 1 / scene.pascalPerFullScale, scene.rate);
            EXPECT_NEAR(j.decayS[b], expected, 0.15 * expected)
                << judgedOctavesHz()[b] << " Hz, seed " << seed;
            worst = std::max(worst, std::abs(j.decayS[b] / expected - 1));
        }
    }
    RecordProperty("worstPart", std::to_string(worst));
}

INSTANTIATE_TEST_SUITE_P(NoiseDb, DecayTime, testing::Values(18.0, 27.0, 35.0));

TEST(ImpulseNoise, IsTheNoiseOfOneSecondReTheOctavesEnergy) {
    const Scene scene;
    const double noise = noiseDeviation(scene, 30);
    const auto rates = noiseRates(scene, noise);
    Modes modes;
    for (const double f : judgedOctavesHz()) {
        modes.decayS.push_back(std::clamp(8 / f, 0.002, 0.06));
        modes.amplitude.push_back(300 * std::pow(f / 1000, 0.5));
    }
    const auto response = modes.response(0.006);
    auto samples = scene.through(response);
    addNoise(samples, noise, 60);
    const Judgement j = judged(scene, samples);
    const OctaveBank bank(scene.samples(), scene.rate, {scene.lowHz, scene.highHz});
    for (std::size_t b = 2; b + 1 < rates.size(); ++b) {
        double energy = 0;  // by Parseval, samples per second · ∫ |H/rate|² W² df · 2
        for (double f = 10; f < 20000; f += 0.5) {
            const double weight = bank.weight(b, f);
            energy += 2 * std::norm(response(f)) * weight * weight * 0.5 / scene.rate;
        }
        energy /= scene.pascalPerFullScale * scene.pascalPerFullScale;
        EXPECT_NEAR(j.impulseNoiseDb[b], 10 * std::log10(rates[b] / energy), 1.0) << judgedOctavesHz()[b];
    }
}

TEST(DecayOfAnOctave, IsUnknownWhereTheOctaveDoesNotRiseOutOfTheNoise) {
    const Scene scene;
    const Response plain = delayed(70, 0.006);
    auto samples = scene.through([&](double f) { return f < 3000 ? plain(f) : 1e-4 * plain(f); });
    addNoise(samples, noiseDeviation(scene, 30), 60);
    const Judgement j = judged(scene, samples);
    EXPECT_TRUE(std::isnan(j.decayS[9]));
    EXPECT_FALSE(std::isnan(j.decayS[5]));
}

TEST(DecayOfAnOctave, IsCappedByWhatWasRecorded) {
    Scene scene;
    scene.tailS = 0.3;
    const Response plain = delayed(70, 0.006);
    // An echo train that never ends within the recording.
    auto samples = scene.through(
        [&](double f) { return plain(f) / (1.0 - 0.9 * std::polar(1.0, -2 * M_PI * f * 0.0101)); });
    addNoise(samples, noiseDeviation(scene, 10), 60);
    const Judgement j = judged(scene, samples);
    EXPECT_NEAR(j.decayS[9], 0.3, 0.05);
    EXPECT_LT(j.decayS[5], 3.3);
}

}  // namespace
}  // namespace volvelle
