#include "Acoustics/SphereField.h"
#include "Quality/Judge.h"
#include "Quality/Synthetic.h"
#include "Signal/Deconvolution.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <cmath>
#include <thread>

namespace volvelle {
namespace {

using namespace synthetic;

Judgement judged(const Scene& scene, const std::vector<double>& samples) {
    const Recorded r = recorded(samples);
    return Judge(scene.drive(), scene.calibration()).judge(r.samples, {}, {r.raw, 24});
}

std::string doubtsOf(const Judgement& j) {
    std::string all;
    for (const auto& doubt : j.doubts) all += doubt + "; ";
    return all;
}

// ---- clipping ----

double clippedRun(const std::vector<std::int32_t>& values, int bits) {
    Scene scene;
    scene.sweepS = 0.5;
    DriveRecord drive = scene.drive();
    drive.bitsPerSample = 24;  // of the drive's deepest file
    Recorded r = recorded(scene.through(delayed(70, 0.006)));
    for (std::size_t i = 0; i < values.size(); ++i) r.raw[5000 + i] = values[i];
    return Judge(drive, scene.calibration()).judge(r.samples, {}, {r.raw, bits}).clippedSamples;
}

TEST(Clipping, IsTheLongestRunAtOneEndOfTheFilesOwnRange) {
    const std::int32_t top24 = 8388607 * 256, bottom = INT32_MIN, top16 = 32767 * 65536;
    EXPECT_EQ(clippedRun({}, 24), 0);
    EXPECT_EQ(clippedRun({top24, top24, 0, top24, top24, top24, 0}, 24), 3);
    EXPECT_EQ(clippedRun({bottom, bottom, bottom, bottom}, 24), 4);
    EXPECT_EQ(clippedRun({top24, bottom, top24, bottom}, 24), 1);
    EXPECT_EQ(clippedRun({top16, top16, top16}, 24), 0);  // not full scale of 24 bits
    EXPECT_EQ(clippedRun({top16, top16, top16}, 16), 3);
    EXPECT_EQ(clippedRun({top24 - 256, top24 - 256, top24 - 256}, 24), 0);
    EXPECT_EQ(clippedRun({INT32_MAX, INT32_MAX}, 32), 2);
    EXPECT_EQ(clippedRun({-top24, bottom}, 24), 2);
}

TEST(Clipping, OfThreeSamplesOrMoreIsDoubtfulAndOfTwoIsNot) {
    Scene scene;
    auto samples = scene.through(delayed(70, 0.006));
    addNoise(samples, noiseDeviation(scene, 20), 1);
    samples[60000] = samples[60001] = 1;
    EXPECT_EQ(doubtsOf(judged(scene, samples)).find("clipped"), std::string::npos);
    samples[60002] = 1;
    EXPECT_NE(doubtsOf(judged(scene, samples)).find("clipped: 3 consecutive samples"), std::string::npos);
}

TEST(Clipping, IsUnknownForFloatingPointFiles) {
    Scene scene;
    const Recorded r = recorded(scene.through(delayed(70, 0.006)));
    const Judgement j = Judge(scene.drive(), scene.calibration()).judge(r.samples, {}, {});
    EXPECT_TRUE(std::isnan(j.clippedSamples));
}

// ---- levels ----

TEST(PeakPressure, IsTheLargestSampleInPascal) {
    Scene scene;
    auto samples = scene.through(delayed(70, 0.006));
    samples[100] = -0.4;
    EXPECT_NEAR(judged(scene, samples).peakPa, 0.8, 1e-6);
}

/// Level of white noise in an octave of exact limits.
double octaveLevelDb(double levelDb, double centreHz, double rate) {
    return levelDb + 10 * std::log10(centreHz * (std::pow(10, 0.15) - std::pow(10, -0.15)) / (rate / 2));
}

void expectNoise(const Scene& scene, NoiseSource source, std::size_t firstOctave) {
    constexpr int seeds = 12;
    std::vector<double> powers(judgedOctavesHz().size());
    for (int seed = 0; seed < seeds; ++seed) {
        auto samples = scene.through(delayed(74, 0.0055));
        addNoise(samples, noiseDeviation(scene, 30), 100 + static_cast<std::uint64_t>(seed));
        const Judgement j = judged(scene, samples);
        EXPECT_EQ(j.noiseSource, source);
        EXPECT_TRUE(j.doubts.empty()) << doubtsOf(j);
        for (std::size_t b = 0; b < powers.size(); ++b) powers[b] += std::pow(10, j.noiseDb[b] / 10) / seeds;
    }
    for (std::size_t b = firstOctave; b + 1 < powers.size(); ++b) {
        // A few standard deviations of the mean over the seeds.
        const double cells = judgedOctavesHz()[b] * 0.7 * 0.2 * seeds,
                     toleranceDb = 4 * 4.34 / std::sqrt(cells);
        EXPECT_NEAR(10 * std::log10(powers[b]), octaveLevelDb(30, judgedOctavesHz()[b], scene.rate),
                    std::max(0.2, toleranceDb))
            << judgedOctavesHz()[b];
    }
}

TEST(NoisePerOctave, ComesFromTheSilenceBeforeTheSweep) {
    expectNoise(Scene{}, NoiseSource::silence, 0);
}

TEST(NoisePerOctave, ComesFromTheTailWhereThereIsNoSilence) {
    Scene scene;
    scene.beginS = 0;
    expectNoise(scene, NoiseSource::tail, 0);
}

TEST(NoisePerOctave, IsUnknownWithoutSilenceAndTailAndThatIsNoFault) {
    Scene scene;
    scene.beginS = 0;
    scene.tailS = 0.1;
    auto samples = scene.through(delayed(74, 0.0055));
    addNoise(samples, noiseDeviation(scene, 30), 5);
    const Judgement j = judged(scene, samples);
    EXPECT_EQ(j.noiseSource, NoiseSource::unknown);
    EXPECT_TRUE(std::isnan(j.noiseDb[5]));
    EXPECT_TRUE(j.doubts.empty()) << doubtsOf(j);
}

// ---- times ----

TEST(LoopbackDelay, IsThatOfTheExcitationWithinTheLoopback) {
    const Scene scene;
    const Judge judge(scene.drive(true), scene.calibration());
    for (const double delay : {0.0, 0.0012345, 0.05}) {
        auto mic = scene.through(delayed(70, delay + 0.0061));
        addNoise(mic, noiseDeviation(scene, 25), 9);
        const auto loop = scene.through([&](double f) { return std::polar(1.7, -2 * M_PI * f * delay); });
        const Judgement j = judge.judge(recorded(mic).samples, recorded(loop).samples, {});
        EXPECT_NEAR(j.loopbackDelayS, delay, 1e-7);
        EXPECT_NEAR(j.arrivalS, 0.0061, 5e-7);
        EXPECT_TRUE(j.doubts.empty()) << doubtsOf(j);
    }
}

TEST(Arrival, OfADelayIsRightToAFractionOfASampleForBothPolarities) {
    for (const double rate : {44100.0, 48000.0, 96000.0}) {
        Scene scene;
        scene.rate = rate;
        scene.sweepS = 1;
        for (const double delay : {0.00583, 0.0058337, 0.0058401, 0.02})
            for (const double sign : {1.0, -1.0}) {
                const Response plain = delayed(72, delay);
                auto samples = scene.through([&](double f) { return sign * plain(f); });
                addNoise(samples, noiseDeviation(scene, 25), 3);
                const Judgement j = judged(scene, samples);
                EXPECT_NEAR(j.arrivalS, delay, 0.02 / rate) << rate << ' ' << delay;
                EXPECT_EQ(j.polarity, sign);
            }
    }
}

/// A cap on a sphere that moves with constant acceleration, as a loudspeaker above its resonance; a high-pass
/// below.
Response onSphere(double angleDeg, double levelDb, double distanceM) {
    const RigidSphere sphere{0.15, 343.2, 1.2041};
    std::vector<double> frequencies;
    for (double f = 0; f <= 24000; f += 2) frequencies.push_back(f);
    const SphereField field(sphere, frequencies, distanceM);
    auto p = field.pressure({Direction{}, 20}, directionOn(Orbit::horizontal, angleDeg));
    const auto axis = field.pressure({Direction{}, 20}, Direction{});
    const double gain = std::abs(delayed(levelDb, 0)(0)) / std::abs(axis[500] / 1000.0);
    for (std::size_t k = 1; k < p.size(); ++k) {
        const std::complex<double> s(0, frequencies[k] / 60);
        // Without the travel from the sphere's centre, so that interpolation is exact enough.
        p[k] *= gain / std::complex<double>(0, frequencies[k]) * s * s / (1.0 + 1.4 * s + s * s) *
                std::polar(1.0, 2 * M_PI * frequencies[k] * distanceM / sphere.speedOfSound);
    }
    return [=](double f) -> std::complex<double> {
        const auto k = static_cast<std::size_t>(f / 2);
        if (k + 1 >= p.size()) return 0;
        const double part = f / 2 - static_cast<double>(k);
        return (p[k] * (1 - part) + p[k + 1] * part) * std::polar(1.0, -2 * M_PI * f * distanceM / 343.2);
    };
}

TEST(Arrival, BehindASphereFollowsThePathAroundItAndKeepsItsPolarity) {
    Scene scene;
    scene.sweepS = 1;
    const double a = 0.15, r = 2, c = 343.2;
    for (const double angle : {0.0, 30.0, 60.0, 90.0, 120.0, 150.0, 180.0})
        for (const double sign : {1.0, -1.0}) {
            const Response plain = onSphere(angle, 74, r);
            auto samples = scene.through([&](double f) { return sign * plain(f); });
            addNoise(samples, noiseDeviation(scene, 25), 4);
            const Judgement j = judged(scene, samples);
            // The cap's near edge at 20° is the nearest or first point of the source.
            const double theta = std::max(0.0, angle - 20) * M_PI / 180, lit = std::acos(a / r);
            const double path = theta < lit ? std::sqrt(r * r + a * a - 2 * r * a * std::cos(theta))
                                            : std::sqrt(r * r - a * a) + a * (theta - lit);
            EXPECT_GT(j.arrivalS, path / c - 2e-5) << angle;
            EXPECT_LT(j.arrivalS, path / c + 3.5e-4) << angle;
            EXPECT_EQ(j.polarity, sign) << angle;
        }
}

TEST(Polarity, HoldsAgainstRingingNearTheTopOfTheBand) {
    Scene scene;
    scene.sweepS = 1;
    const Response plain = delayed(72, 0.006);
    for (const double sign : {1.0, -1.0}) {
        auto samples = scene.through([&](double f) {
            const double q = 12, x = f / 17000;
            const std::complex<double> ringing =
                std::complex<double>(0, 2.5 * x / q) / std::complex<double>(1 - x * x, x / q);
            return sign * plain(f) * (1.0 + ringing);
        });
        addNoise(samples, noiseDeviation(scene, 25), 4);
        EXPECT_EQ(judged(scene, samples).polarity, sign);
    }
}

TEST(Arrival, IsUnknownAndDoubtfulWhereTheRecordingHoldsNoSweep) {
    Scene scene;
    scene.sweepS = 1;
    std::vector<double> samples(scene.samples());
    addNoise(samples, 0.1, 77);
    const Judgement noise = judged(scene, samples);
    EXPECT_TRUE(std::isnan(noise.arrivalS));
    EXPECT_NE(doubtsOf(noise).find("no arrival"), std::string::npos);
    const Judgement silent = judged(scene, std::vector<double>(scene.samples()));
    EXPECT_TRUE(std::isnan(silent.arrivalS));
    EXPECT_NE(doubtsOf(silent).find("no arrival"), std::string::npos);
}

TEST(NoiseAsExcitation, IsJudgedWithoutFalseAlarms) {
    DriveRecord drive = Scene{}.drive();
    std::vector<double> played(48000);
    addNoise(played, 0.1, 17);
    drive.excitation.samples.assign(played.begin(), played.end());
    drive.samplesPerChannel = 96000;
    const Judge judge(drive, Scene{}.calibration());
    for (std::uint64_t seed = 0; seed < 10; ++seed) {
        std::vector<double> samples(96000);
        for (std::size_t n = 0; n < played.size(); ++n) samples[n + 280] = 0.02 * played[n];
        addNoise(samples, noiseDeviation(Scene{}, 25), seed);
        const Recorded r = recorded(samples);
        const Judgement j = judge.judge(r.samples, {}, {r.raw, 24});
        EXPECT_TRUE(j.doubts.empty()) << doubtsOf(j);
        EXPECT_NEAR(j.arrivalS, 280.0 / 48000, 1e-6);
        EXPECT_EQ(j.noiseSource, NoiseSource::tail);
        EXPECT_NEAR(j.noiseDb[6], octaveLevelDb(25, judgedOctavesHz()[6], 48000), 1);
    }
}

// ---- other forms ----

TEST(ImpulseResponses, AreJudgedByThemselves) {
    DriveRecord drive;
    drive.form = CaptureForm::impulseResponse;
    drive.sampleRateHz = 48000;
    drive.sampleType = SampleType::float32;
    drive.samplesPerChannel = 24000;
    Calibration calibration;
    calibration.pascalPerFullScale = calibration.voltsPerFullScale = 1;
    std::vector<double> h(24000);
    addNoise(h, 1e-5, 8);
    const double decay = 0.004;  // of the amplitude by e
    for (std::size_t n = 300; n < h.size(); ++n) {
        const double t = static_cast<double>(n - 300) / 48000;
        h[n] -= std::exp(-t / decay) * std::cos(2 * M_PI * 1000 * t);
    }
    const std::vector<float> samples(h.begin(), h.end());
    const Judgement j = Judge(drive, calibration).judge(samples, {}, {});
    EXPECT_GT(j.arrivalS, 300.0 / 48000);  // the summit of the first half-wave
    EXPECT_LT(j.arrivalS, 300.0 / 48000 + 0.25 / 1000);
    EXPECT_EQ(j.polarity, -1);
    EXPECT_EQ(j.noiseSource, NoiseSource::tail);
    EXPECT_TRUE(std::isnan(j.peakPa));
    EXPECT_TRUE(std::isnan(j.noiseDb[5]));
    // exp(-2t/τ) / 2 meets the noise's mean square in the filter: 1e-10 · 2 · 0.62 · 0.35 · 1000 Hz / 48000
    // Hz.
    const double noise = 1e-10 * std::sqrt(M_PI) * 0.35 * M_LN2 * 1000 * 2 / 48000;
    EXPECT_NEAR(j.decayS[5], decay / 2 * std::log(0.5 / noise), 0.15 * j.decayS[5]);
    EXPECT_TRUE(j.doubts.empty()) << doubtsOf(j);
}

TEST(TextResponses, AreNotJudged) {
    DriveRecord drive;
    drive.form = CaptureForm::textResponse;
    const std::vector<float> levels(100, 80.0F);
    const Judgement j = Judge(drive, {}).judge(levels, {}, {});
    EXPECT_TRUE(j.doubts.empty());
    EXPECT_TRUE(std::isnan(j.arrivalS));
    EXPECT_TRUE(j.noiseDb.empty());
}

TEST(Judge, RefusesASilentExcitationAndASilentLoopback) {
    const Scene scene;
    DriveRecord drive = scene.drive(true);
    const Recorded mic = recorded(scene.through(delayed(70, 0.006)));
    const std::vector<float> silence(mic.samples.size());
    EXPECT_THROW(Judge(drive, scene.calibration()).judge(mic.samples, silence, {}), Error);
    drive.excitation.samples.assign(drive.excitation.samples.size(), 0.0F);
    EXPECT_THROW(Judge(drive, scene.calibration()), Error);
}

TEST(Judge, GivesTheSameFromSeveralThreadsAtOnce) {
    Scene scene;
    scene.sweepS = 1;
    const Judge judge(scene.drive(), scene.calibration());
    std::vector<Recorded> recordings;
    for (int i = 0; i < 4; ++i) {
        auto samples = scene.through(delayed(70 + i, 0.006 + 0.001 * i));
        addNoise(samples, noiseDeviation(scene, 30), static_cast<std::uint64_t>(i));
        recordings.push_back(recorded(samples));
    }
    std::vector<Judgement> one, many(4);
    for (const auto& r : recordings) one.push_back(judge.judge(r.samples, {}, {r.raw, 24}));
    std::vector<std::jthread> threads;
    for (std::size_t i = 0; i < 4; ++i)
        threads.emplace_back([&, i] {
            many[i] = judge.judge(recordings[i].samples, {}, {recordings[i].raw, 24});
        });
    threads.clear();
    for (std::size_t i = 0; i < 4; ++i) {
        EXPECT_EQ(one[i].arrivalS, many[i].arrivalS);
        EXPECT_EQ(one[i].residueDb, many[i].residueDb);
        EXPECT_EQ(one[i].direct.thirdOctaveDb[7], many[i].direct.thirdOctaveDb[7]);
        EXPECT_EQ(one[i].decayS[5], many[i].decayS[5]);
    }
}

}  // namespace
}  // namespace volvelle
