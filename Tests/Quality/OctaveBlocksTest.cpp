#include "Quality/FirstArrival.h"
#include "Quality/NoiseLevel.h"
#include "Quality/OctaveBlocks.h"
#include "Quality/OctaveDecay.h"
#include "Quality/Synthetic.h"
#include "Run/Capture.h"

#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

constexpr std::size_t length = 48000;
constexpr double rate = 48000;

AlignedVector<std::complex<float>> spectrumOf(const std::vector<double>& samples) {
    const RealTransform<float> transform(length);
    AlignedVector<float> x(samples.begin(), samples.end());
    AlignedVector<std::complex<float>> spectrum(transform.bins());
    transform.forward(x.data(), spectrum.data());
    return spectrum;
}

TEST(OctaveBlocks, HoldTheEnergyThatParsevalsTheoremSays) {
    std::vector<double> noise(length);
    synthetic::addNoise(noise, 1, 3);
    const auto spectrum = spectrumOf(noise);
    const OctaveBank bank(length, rate, {20, 20000});
    OctaveBank::Workspace w;
    for (std::size_t b = 0; b < bank.count(); ++b) {
        const OctaveBlocks blocks = bank.blocks(b, spectrum, w);
        double sum = 0, expected = 0;
        for (const double e : blocks.energy) sum += e;
        for (std::size_t k = 1; k < spectrum.size(); ++k)
            expected += 2 * double{std::norm(spectrum[k])} *
                        std::pow(bank.weight(b, static_cast<double>(k)), 2) / length;
        // Up to one block is left over at the end.
        EXPECT_NEAR(sum / expected, 1, b == 0 ? 0.12 : b == 1 ? 0.06 : 0.03) << judgedOctavesHz()[b];
        EXPECT_NEAR(blocks.durationS(), 1, 1.01 * blocks.blockS);
    }
}

TEST(OctaveBlocks, OfAPulseLieAboutItsInstantAndFall60DbWithinThreePeriods) {
    std::vector<double> pulse(length);
    pulse[24000] = 1;
    const OctaveBank bank(length, rate, {20, 24000});
    OctaveBank::Workspace w;
    for (std::size_t b = 1; b < bank.count(); ++b) {
        const OctaveBlocks blocks = bank.blocks(b, spectrumOf(pulse), w);
        double total = 0, moment = 0;
        for (std::size_t i = 0; i < blocks.energy.size(); ++i) {
            total += blocks.energy[i];
            moment += blocks.energy[i] * (static_cast<double>(i) + 0.5) * blocks.blockS;
        }
        EXPECT_NEAR(moment / total, 0.5, 0.6 * blocks.blockS) << judgedOctavesHz()[b];
        const double reach = 5 / judgedOctavesHz()[b];
        const double near = blocks.sum(0.5 - reach, 0.5 + reach + blocks.blockS);
        EXPECT_LT(1 - near / total, b == 9 ? 1e-4 : 1e-5)
            << judgedOctavesHz()[b];  // the last fades out with the band
    }
}

TEST(OctaveFilter, HasItsWeightsHalvedAtAThirdOfAnOctaveEitherSideAndEndsWithTheBand) {
    const OctaveBank bank(length, rate, {100, 10000});
    EXPECT_FALSE(bank.usable(0));  // 31.5 Hz
    EXPECT_TRUE(bank.usable(4));
    EXPECT_FALSE(bank.usable(9));  // 16 kHz
    const double centre = judgedOctavesHz()[5], half = 0.35 * std::sqrt(2 * M_LN2);
    EXPECT_NEAR(bank.weight(5, centre), 1, 1e-12);
    EXPECT_NEAR(bank.weight(5, centre * std::exp2(half)), 0.5, 1e-9);
    EXPECT_NEAR(bank.weight(5, centre * std::exp2(-half)), 0.5, 1e-9);
    EXPECT_EQ(bank.weight(8, 10000), 0);
}

TEST(SteadyNoise, IsRightAndIgnoresADecayAndAShortDisturbance) {
    std::vector<double> noise(length);
    synthetic::addNoise(noise, 1, 4);
    const OctaveBank bank(length, rate, {20, 20000});
    OctaveBank::Workspace w;
    for (std::size_t n = 0; n < 3000; ++n) noise[n] += 1000 * std::exp(-static_cast<double>(n) / 500);
    for (std::size_t n = 30000; n < 33000; ++n) noise[n] *= 30;
    for (std::size_t b = 4; b < 9; ++b) {
        const double expected = std::sqrt(M_PI) * 0.35 * M_LN2 * judgedOctavesHz()[b] * 2;  // of 1 per sample
        const double found = steadyNoise(bank.blocks(b, spectrumOf(noise), w), {0.1, 0.95});
        EXPECT_NEAR(10 * std::log10(found / expected), 0, b < 6 ? 1.0 : 0.5) << judgedOctavesHz()[b];
    }
}

TEST(OctavePowers, OfASineLieInItsOctaveAloneAndAreItsMeanSquare) {
    for (std::size_t b = 1; b < 9; ++b) {
        std::vector<float> sine(24000);
        for (std::size_t n = 0; n < sine.size(); ++n)
            sine[n] = static_cast<float>(
                0.1 + 0.2 * std::sin(2 * M_PI * judgedOctavesHz()[b] * static_cast<double>(n) / rate));
        const auto powers = octavePowers(sine, rate);
        EXPECT_NEAR(powers[b], 0.02, 2e-4) << judgedOctavesHz()[b];
        for (std::size_t other = 0; other < powers.size(); ++other)
            if (other != b) {
                EXPECT_LT(powers[other], 2e-4) << judgedOctavesHz()[b] << ' ' << judgedOctavesHz()[other];
            }
    }
}

TEST(OctavePowers, AreUnknownForShortStretches) {
    const std::vector<float> samples(4900, 0.1F), few(1000, 0.1F);
    EXPECT_TRUE(std::isnan(octavePowers(samples, rate)[0]));
    EXPECT_FALSE(std::isnan(octavePowers(samples, rate)[3]));
    for (const double p : octavePowers(few, rate)) EXPECT_TRUE(std::isnan(p));
}

TEST(FirstArrival, IsTheFirstHalfWaveThatReachesAQuarterOfTheGreatest) {
    std::vector<float> h(4800);
    h[500] = 0.2F;
    h[600] = -0.4F;
    h[700] = 1;
    const auto found = firstArrival(h, rate, 20000, 0, 4800, 0, 0);
    ASSERT_TRUE(found);
    EXPECT_NEAR(found->timeS, 600 / rate, 1e-7);
    EXPECT_EQ(found->polarity, -1);
    h[500] = 0.4F;
    EXPECT_EQ(firstArrival(h, rate, 20000, 0, 4800, 0, 0)->polarity, 1);
    EXPECT_NEAR(firstArrival(h, rate, 20000, 550, 4800, 0, 0)->timeS, 600 / rate, 1e-7);
    const std::vector<float> silence(4800);
    EXPECT_FALSE(firstArrival(silence, rate, 20000, 0, 4800, 0, 0));
}

TEST(FirstArrival, MayLieBeforeTimeZeroInACircularImpulse) {
    std::vector<float> h(4800);
    h[4790] = 1;
    EXPECT_NEAR(firstArrival(h, rate, 20000, -100, 1000, 0, 0)->timeS, -10 / rate, 1e-7);
}

}  // namespace
}  // namespace volvelle
