#include "Quality/Judge.h"
#include "Quality/Synthetic.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace volvelle {
namespace {

using namespace synthetic;

/// A loudspeaker-like response: second-order high-pass at 50 Hz, a resonance at 900 Hz.
Response loudspeaker(double levelDb) {
    const Response plain = delayed(levelDb, 0.0058);
    return [plain](double f) {
        const std::complex<double> s(0, f / 50), r(0, f / 900);
        return plain(f) * s * s / (1.0 + 1.2 * s + s * s) * (1.0 + 0.3 * r / (1.0 + 0.1 * r + r * r));
    };
}

bool disturbed(const Judgement& j) {
    for (const auto& doubt : j.doubts)
        if (doubt.find("a noise during the sweep") != std::string::npos) return true;
    return false;
}

struct Case {
    double sweepDb, noiseDb, harmonic, rate = 48000, beginS = 0.25;
};

// Sweeps at 67 ... 78 dB SPL, microphone noise of 18 ... 35 dB SPL, second harmonic 0.2 % and 1 %: 200 seeds,
// no false alarm.
TEST(NoiseDuringTheSweep, IsNotSuspectedInSteadyNoiseAndDistortion) {
    const Case cases[] = {{67, 18, 0.002},          {67, 35, 0.002},       {78, 18, 0.01},
                          {78, 35, 0.01},           {72, 27, 0.01},        {67, 35, 0.01, 48000, 0},
                          {78, 18, 0.01, 48000, 0}, {74, 25, 0.002, 96000}};
    for (const Case& c : cases) {
        Scene scene;
        scene.rate = c.rate;
        scene.beginS = c.beginS;
        const Judge judge(scene.drive(), scene.calibration());
        const auto clean = scene.through(loudspeaker(c.sweepDb), c.harmonic);
        for (std::uint64_t seed = 0; seed < 25; ++seed) {
            auto samples = clean;
            addNoise(samples, noiseDeviation(scene, c.noiseDb), 1000 + seed);
            const Recorded r = recorded(samples);
            const Judgement j = judge.judge(r.samples, {}, {r.raw, 24});
            EXPECT_TRUE(j.doubts.empty()) << c.sweepDb << ' ' << c.noiseDb << ' ' << c.harmonic << ' ' << seed
                                          << ' ' << (j.doubts.empty() ? "" : j.doubts[0]);
        }
    }
}

TEST(NoiseDuringTheSweep, IsNotSuspectedWithoutAnyNoise) {
    for (const double harmonic : {0.0, 0.002, 0.01, 0.05})
        for (const double rate : {44100.0, 48000.0}) {
            Scene scene;
            scene.rate = rate;
            const Recorded r = recorded(scene.through(loudspeaker(78), harmonic));
            const Judgement j = Judge(scene.drive(), scene.calibration()).judge(r.samples, {}, {r.raw, 24});
            EXPECT_TRUE(j.doubts.empty()) << harmonic << ' ' << (j.doubts.empty() ? "" : j.doubts[0]);
        }
}

/// Adds a click: a pressure step that dies away within a millisecond. peakDb: of its peak, dB SPL.
void addClick(std::vector<double>& samples, const Scene& scene, double atS, double peakDb) {
    const auto first = static_cast<std::size_t>(atS * scene.rate);
    for (std::size_t i = 0; i < 480 && first + i < samples.size(); ++i) {
        const double t = static_cast<double>(i) / scene.rate;
        samples[first + i] +=
            noiseDeviation(scene, peakDb) * std::exp(-t / 0.0005) * std::cos(2 * M_PI * 1000 * t);
    }
}

/// Adds 50 ms of noise in the band of speech (about 200 Hz - 4 kHz). levelDb: of its mean square over the
/// burst, dB SPL.
void addBurst(std::vector<double>& samples, const Scene& scene, double atS, double levelDb,
              std::uint64_t seed) {
    const auto count = static_cast<std::size_t>(0.05 * scene.rate),
               first = static_cast<std::size_t>(atS * scene.rate);
    std::vector<double> noise(count);
    addNoise(noise, 1, seed);
    double low = 0, high = 0, energy = 0;
    const double lowPole = std::exp(-2 * M_PI * 200 / scene.rate),
                 highPole = std::exp(-2 * M_PI * 4000 / scene.rate);
    for (double& v : noise) {
        high = highPole * high + (1 - highPole) * v;
        low = lowPole * low + (1 - lowPole) * high;
        v = high - low;
        energy += v * v;
    }
    const double scale = noiseDeviation(scene, levelDb) / std::sqrt(energy / static_cast<double>(count));
    for (std::size_t i = 0; i < count && first + i < samples.size(); ++i)
        samples[first + i] += scale * noise[i];
}

double foundPart(const Case& c, double levelDb, bool click, int trials) {
    Scene scene;
    scene.beginS = c.beginS;
    const Judge judge(scene.drive(), scene.calibration());
    const auto clean = scene.through(loudspeaker(c.sweepDb), c.harmonic);
    std::mt19937_64 generator(321);
    std::uniform_real_distribution<double> when(0.02, c.beginS + 3.4);
    int found = 0;
    for (int trial = 0; trial < trials; ++trial) {
        auto samples = clean;
        const auto seed = static_cast<std::uint64_t>(trial);
        addNoise(samples, noiseDeviation(scene, c.noiseDb), 5000 + seed);
        const double at = when(generator);
        if (click)
            addClick(samples, scene, at, levelDb);
        else
            addBurst(samples, scene, at, levelDb, 9000 + seed);
        const Recorded r = recorded(samples);
        found += disturbed(judge.judge(r.samples, {}, {r.raw, 24}));
    }
    return static_cast<double>(found) / trials;
}

// Wherever in the recording it falls: in the silence, during the sweep, in the tail.
TEST(NoiseDuringTheSweep, IsFoundForClicksWhosePeakLies45DbAboveTheNoise) {
    for (const Case& c : {Case{67, 18, 0.002}, Case{78, 35, 0.01}})
        for (const double aboveDb : {45.0, 60.0})
            EXPECT_EQ(foundPart(c, c.noiseDb + aboveDb, true, 40), 1) << aboveDb;
}

TEST(NoiseDuringTheSweep, IsFoundForBurstsOf50MsThatLie13DbAboveTheNoise) {
    for (const Case& c : {Case{67, 18, 0.002}, Case{78, 35, 0.01}})
        for (const double aboveDb : {13.0, 30.0})
            EXPECT_EQ(foundPart(c, c.noiseDb + aboveDb, false, 40), 1) << aboveDb;
}

TEST(NoiseDuringTheSweep, IsNamedWithItsInstant) {
    const Scene scene;
    auto samples = scene.through(loudspeaker(70), 0.002);
    addNoise(samples, noiseDeviation(scene, 25), 1);
    addClick(samples, scene, 2.2, 90);
    const Recorded r = recorded(samples);
    const Judgement j = Judge(scene.drive(), scene.calibration()).judge(r.samples, {}, {r.raw, 24});
    ASSERT_FALSE(j.doubts.empty());
    // To a tenth of a second: in one octave a click lasts as long as the sweep takes to pass it.
    const bool named = j.doubts[0].find("about 2.1 s after the start") != std::string::npos ||
                       j.doubts[0].find("about 2.2 s after the start") != std::string::npos ||
                       j.doubts[0].find("about 2.3 s after the start") != std::string::npos;
    EXPECT_TRUE(named) << j.doubts[0];
}

TEST(NoiseDuringTheSweep, IsFoundWhereItLastsLongByTheSilenceBefore) {
    const Scene scene;
    auto samples = scene.through(loudspeaker(70), 0.002), louder = samples;
    addNoise(samples, noiseDeviation(scene, 20), 1);
    addNoise(louder, noiseDeviation(scene, 40), 2);
    for (std::size_t n = 13000; n < samples.size(); ++n) samples[n] = louder[n];
    const Recorded r = recorded(samples);
    const Judgement j = Judge(scene.drive(), scene.calibration()).judge(r.samples, {}, {r.raw, 24});
    EXPECT_TRUE(disturbed(j));
}

TEST(NoiseDuringTheSweep, IsNotSuspectedForOtherSweepsRatesAndHum) {
    std::vector<Scene> scenes(8);
    scenes[0].sweepS = 1;
    scenes[1].sweepS = 6;
    scenes[2].highHz = 1000;
    scenes[3].lowHz = 200;
    scenes[4].rate = 44100;
    scenes[5].beginS = 1;
    scenes[6].tailS = 1.5;
    scenes[7].beginS = 0;
    for (std::size_t i = 0; i < scenes.size(); ++i) {
        const Scene& scene = scenes[i];
        const Judge judge(scene.drive(), scene.calibration());
        const auto clean = scene.through(loudspeaker(74), 0.005);
        for (std::uint64_t seed = 0; seed < 8; ++seed) {
            auto samples = clean;
            addNoise(samples, noiseDeviation(scene, 25), 40 + seed);
            for (std::size_t n = 0; n < samples.size(); ++n)
                samples[n] +=
                    noiseDeviation(scene, 43) * std::sin(2 * M_PI * 50 * static_cast<double>(n) / scene.rate);
            const Recorded r = recorded(samples);
            const Judgement j = judge.judge(r.samples, {}, {r.raw, 24});
            EXPECT_TRUE(j.doubts.empty()) << "scene " << i << ": " << (j.doubts.empty() ? "" : j.doubts[0]);
        }
    }
}

// What residueDb is: noise per second over the empty stretch re the linear impulse. In steady noise it
// follows the noise.
TEST(Residue, RisesWithTheNoiseDecibelByDecibelAndFarMoreWithABang) {
    const Scene scene;
    const Judge judge(scene.drive(), scene.calibration());
    const auto clean = scene.through(loudspeaker(74), 0.002);
    double last = 0;
    for (const double noiseDb : {15.0, 25.0, 35.0}) {
        auto samples = clean;
        addNoise(samples, noiseDeviation(scene, noiseDb), 3);
        const Recorded r = recorded(samples);
        const double residue = judge.judge(r.samples, {}, {r.raw, 24}).residueDb;
        if (noiseDb > 15) {
            EXPECT_NEAR(residue - last, 10, 0.3) << noiseDb;
        }
        last = residue;
        addClick(samples, scene, 1.5, 105);
        const Recorded banged = recorded(samples);
        EXPECT_GT(judge.judge(banged.samples, {}, {banged.raw, 24}).residueDb, residue + 10) << noiseDb;
    }
}

TEST(Residue, IsSmallWithoutNoise) {
    const Scene scene;
    const Recorded r = recorded(scene.through(loudspeaker(78), 0.002));
    EXPECT_LT(Judge(scene.drive(), scene.calibration()).judge(r.samples, {}, {r.raw, 24}).residueDb, -75);
}

}  // namespace
}  // namespace volvelle
