#include "Signal/Aligned.h"
#include "Signal/Excitation.h"
#include "Signal/FourierTransform.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <complex>
#include <random>

namespace volvelle {
namespace {

std::vector<float> asFloats(const std::vector<double>& x, std::size_t before = 0, std::size_t after = 0) {
    std::vector<float> out(before + x.size() + after, 0.0F);
    for (std::size_t n = 0; n < x.size(); ++n) out[before + n] = static_cast<float>(x[n]);
    return out;
}

std::vector<float> whiteNoise(std::size_t n, unsigned seed) {
    std::mt19937 generator(seed);
    std::normal_distribution<float> normal(0, 0.2F);
    std::vector<float> x(n);
    for (auto& v : x) v = normal(generator);
    return x;
}

// Novak, Lotton & Simon, J. Audio Eng. Soc. 63(10), 2015: sin(2π f1 L e^(t/L)).
TEST(SynchronisedSweep, HasAWholeNumberOfTurnsBehindItAndSoStartsAtAZero) {
    for (const double wished : {0.5, 1.0, 3.0}) {
        const ExponentialSweep s = synchronisedSweep(20, 20000, wished);
        const double turns = s.startHz * s.rateS();
        EXPECT_NEAR(turns, std::round(turns), 1e-9);
        EXPECT_NEAR(s.durationS, wished, 0.5 / 20 * std::log(1000.0) + 1e-12);  // nearest such duration
        const auto x = sweepSamples(s, 48000, 0, 0);
        EXPECT_NEAR(x[0], 0, 1e-9);
        EXPECT_GT(x[1], 0);
        EXPECT_EQ(x.size(), static_cast<std::size_t>(std::llround(s.durationS * 48000)));
    }
    EXPECT_NEAR(synchronisedSweep(20, 20000, 0.01).rateS(), 1 / 20.0, 1e-12);  // one turn at least
    EXPECT_THROW(synchronisedSweep(0, 100, 1), Error);
    EXPECT_THROW(synchronisedSweep(200, 100, 1), Error);
    EXPECT_THROW(synchronisedSweep(20, 100, 0), Error);
}

// Turn k ends at t = L ln(k / (f1 L)): the phase formula turned round.
TEST(SynchronisedSweep, RisesThroughZeroWhereItsPhaseFormulaSays) {
    const ExponentialSweep s = synchronisedSweep(50, 10000, 0.7);
    constexpr double rate = 192000;
    const auto x = sweepSamples(s, rate, 0, 0);
    const double first = std::round(s.startHz * s.rateS()), last = first * s.endHz / s.startHz;
    for (double k = first + 1; k < last - 1; ++k) {
        const double at = s.rateS() * std::log(k / first) * rate;
        const auto n = static_cast<std::size_t>(at);
        EXPECT_LE(x[n], 1e-6) << k;
        EXPECT_GE(x[n + 1], -1e-6) << k;
    }
}

TEST(SynchronisedSweep, OfAHarmonicIsTheSweepItselfAheadByLLnN) {
    const ExponentialSweep s = synchronisedSweep(40, 16000, 1.3);
    for (const int n : {2, 3, 4, 5})
        for (const double t : {0.1, 0.234, 0.5}) {
            const auto phase = [&](double at) {
                return 2 * M_PI * s.startHz * s.rateS() * std::exp(at / s.rateS());
            };
            EXPECT_NEAR(std::sin(n * phase(t)), std::sin(phase(t + s.leadS(n))), 1e-7);
            EXPECT_NEAR(s.leadS(n), s.durationS / std::log(400.0) * std::log(double(n)), 1e-12);
        }
}

TEST(SweepFades, AreRaisedCosinesAtBothEnds) {
    const ExponentialSweep s = synchronisedSweep(100, 10000, 0.5);
    const auto plain = sweepSamples(s, 48000, 0, 0), faded = sweepSamples(s, 48000, 0.05, 0.01);
    for (std::size_t n = 0; n < plain.size(); n += 97) {
        const double t = static_cast<double>(n) / 48000, left = s.durationS - t;
        const double in = t < 0.05 ? std::pow(std::sin(M_PI / 2 * t / 0.05), 2) : 1;
        const double out = left < 0.01 ? std::pow(std::sin(M_PI / 2 * left / 0.01), 2) : 1;
        EXPECT_NEAR(faded[n], plain[n] * in * out, 1e-12);
    }
}

struct SweepCase {
    double rate, low, high, seconds, fadeIn, fadeOut;
    std::size_t before, after;
};

class RecognisedSweep : public ::testing::TestWithParam<SweepCase> {};

TEST_P(RecognisedSweep, HasItsEndsAndRateWithinHalfAPerCent) {
    const SweepCase c = GetParam();
    const ExponentialSweep s = synchronisedSweep(c.low, c.high, c.seconds);
    const auto x = asFloats(sweepSamples(s, c.rate, c.fadeIn, c.fadeOut), c.before, c.after);
    const auto found = recogniseSweep(x, c.rate);
    ASSERT_TRUE(found);
    EXPECT_NEAR(found->startHz / c.low, 1, 0.005);
    EXPECT_NEAR(found->endHz / c.high, 1, 0.005);
    EXPECT_NEAR(found->rateS() / s.rateS(), 1, 0.005);
    EXPECT_NEAR(found->beginS, static_cast<double>(c.before) / c.rate, 0.005);
    const Band band = excitedBand(x, c.rate);
    EXPECT_EQ(band.lowHz, found->startHz);
    EXPECT_EQ(band.highHz, found->endHz);
}

INSTANTIATE_TEST_SUITE_P(CleanFadedAndPadded, RecognisedSweep,
                         ::testing::Values(SweepCase{44100, 20, 20000, 3, 0, 0, 0, 0},
                                           SweepCase{48000, 20, 20000, 3, 0.01, 0.005, 0, 0},
                                           SweepCase{48000, 20, 20000, 1, 0, 0, 24000, 48000},
                                           SweepCase{96000, 10, 24000, 3, 0.02, 0.002, 1000, 50000},
                                           SweepCase{192000, 20, 40000, 2, 0.005, 0.001, 0, 5},
                                           SweepCase{48000, 300, 8000, 0.5, 0, 0, 3, 9},
                                           SweepCase{44100, 50, 21000, 5, 0.02, 0.005, 4410, 44100},
                                           SweepCase{48000, 2000, 22000, 0.3, 0.002, 0.002, 480, 480}));

TEST(SweepRecognition, RefusesWhatIsNoExponentialSweep) {
    constexpr std::size_t n = 96000;
    EXPECT_FALSE(recogniseSweep(whiteNoise(n, 1), 48000));
    std::vector<float> linear(n), tone(n), sequence(n), pink = whiteNoise(n, 2);
    unsigned state = 1;
    for (std::size_t i = 0; i < n; ++i) {
        const double t = static_cast<double>(i) / 48000;
        linear[i] = static_cast<float>(std::sin(2 * M_PI * (20 * t + 0.5 * 9990 * t * t)));
        tone[i] = static_cast<float>(std::sin(2 * M_PI * 997 * t));
        // Shift register of 16 stages: a pseudo-random binary sequence of maximum length.
        const unsigned bit = ((state >> 15) ^ (state >> 14) ^ (state >> 12) ^ (state >> 3)) & 1U;
        state = ((state << 1) | bit) & 0xFFFFU;
        sequence[i] = bit != 0 ? 0.5F : -0.5F;
        if (i > 0) pink[i] += 0.98F * pink[i - 1];
    }
    EXPECT_FALSE(recogniseSweep(linear, 48000));
    EXPECT_FALSE(recogniseSweep(tone, 48000));
    EXPECT_FALSE(recogniseSweep(sequence, 48000));
    EXPECT_FALSE(recogniseSweep(pink, 48000));
    EXPECT_FALSE(recogniseSweep(std::vector<float>(n, 0.0F), 48000));
    EXPECT_FALSE(recogniseSweep(std::vector<float>{0.5F}, 48000));
    EXPECT_FALSE(recogniseSweep({}, 48000));
    auto falling = asFloats(sweepSamples(synchronisedSweep(20, 20000, 2), 48000, 0, 0));
    std::reverse(falling.begin(), falling.end());
    EXPECT_FALSE(recogniseSweep(falling, 48000));
}

TEST(ExcitedBand, OfNoiseIsTheBandThatItFillsToAThirdOctave) {
    const RealTransform<float> transform(96000);
    AlignedVector<float> x(96000);
    const auto noise = whiteNoise(96000, 4);
    std::copy(noise.begin(), noise.end(), x.begin());
    AlignedVector<std::complex<float>> bins(transform.bins());
    transform.forward(x.data(), bins.data());
    for (std::size_t k = 0; k < bins.size(); ++k) {
        const double f = static_cast<double>(k) * 0.5;
        bins[k] *= f < 200 || f > 5000 ? 0.0F : static_cast<float>(1 / std::sqrt(f) / 96000);
    }
    transform.inverse(bins.data(), x.data());
    const Band band = excitedBand(x, 48000);
    EXPECT_NEAR(std::log10(band.lowHz / 200), 0, 0.1);
    EXPECT_NEAR(std::log10(band.highHz / 5000), 0, 0.1);
    EXPECT_THROW(excitedBand(std::vector<float>(4800, 0.0F), 48000), Error);
    const Band grid = excitedGrid(band);
    EXPECT_NEAR(grid.lowHz * 1.02, band.lowHz, 1e-9);
    EXPECT_NEAR(grid.highHz / 1.02, band.highHz, 1e-9);
}

}  // namespace
}  // namespace volvelle
