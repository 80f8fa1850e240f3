#include "Signal/FrequencyGrid.h"
#include "Signal/PlainTransform.h"
#include "Signal/SpectrumSampler.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

namespace volvelle {
namespace {

constexpr double rate = 48000;

std::vector<std::complex<double>> sampledSpectrum(std::span<const double> x, std::span<const double> hz) {
    const SpectrumSampler sampler(hz, rate, x.size());
    SpectrumSampler::Workspace w(sampler);
    std::vector<std::complex<double>> out(hz.size());
    sampler(x, w, out);
    return out;
}

TEST(SpectrumSampler, IsThePlainSumToTwoPartsInTenMillionOfItsLargestValue) {
    std::mt19937 generator(3);
    std::uniform_real_distribution<double> uniform(-1, 1), anywhere(0, rate / 2);
    for (const std::size_t support : {3U, 15U, 16U, 17U, 100U, 960U, 1000U, 4999U, 20000U}) {
        std::vector<double> x(support), hz{0, rate / 2, rate / 4, 0.001, rate / 2 - 0.001};
        for (auto& v : x) v = uniform(generator);
        for (int i = 0; i < 40; ++i) hz.push_back(anywhere(generator));
        const auto out = sampledSpectrum(x, hz);
        double largest = 0, worst = 0;
        for (std::size_t i = 0; i < hz.size(); ++i) {
            const auto expected = plain::transformAt<double>(x, hz[i] / rate);
            largest = std::max(largest, std::abs(expected));
            worst = std::max(worst, std::abs(out[i] - expected));
        }
        EXPECT_LT(worst, 2e-7 * largest) << support;
    }
}

// The kernel's aliases are strongest, 3.3e-7, where the signal's ends lie.
TEST(SpectrumSampler, IsOffByFourPartsInTenMillionWhereAllLiesAtOneEnd) {
    std::vector<double> hz;
    for (int i = 0; i <= 480; ++i) hz.push_back(rate / 2 * i / 480);
    for (const std::size_t support : {1U, 2U, 16U, 20000U})
        for (const std::size_t at : {std::size_t{0}, support - 1}) {
            std::vector<double> x(support);
            x[at] = 1;
            const auto out = sampledSpectrum(x, hz);
            for (std::size_t i = 0; i < hz.size(); ++i)
                ASSERT_LT(std::abs(out[i] - plain::transformAt<double>(x, hz[i] / rate)), 4e-7) << support;
        }
}

TEST(SpectrumSampler, OfAWorkspaceUsedBeforeIsTheSameBits) {
    const std::vector<double> hz{100, 1000, 12345.6}, loud(500, 1.0);
    std::vector<double> quiet(500);
    for (std::size_t n = 0; n < quiet.size(); ++n) quiet[n] = std::cos(static_cast<double>(n));
    const SpectrumSampler sampler(hz, rate, 500);
    SpectrumSampler::Workspace used(sampler), fresh(sampler);
    std::vector<std::complex<double>> a(3), b(3);
    sampler(loud, used, a);
    sampler(quiet, used, a);
    sampler(quiet, fresh, b);
    EXPECT_EQ(a, b);
}

/// What a two-way box might do: a resonance at 55 Hz, a break-up at 7 kHz, a low-pass above, and a
/// reflection.
std::vector<double> realisticImpulse(std::size_t length) {
    std::vector<double> x(length);
    for (std::size_t n = 0; n < length; ++n) {
        const double t = (static_cast<double>(n) - 130.4) / rate;
        const auto after = [&](double lateS, double hz, double decayS) {
            const double s = t - lateS;
            return s < 0 ? 0 : std::exp(-s / decayS) * std::sin(2 * M_PI * hz * s);
        };
        x[n] = after(0, 9000, 4e-5) - 0.02 * after(0, 55, 6e-3) + 0.1 * after(0, 7000, 1e-3) +
               0.3 * after(4e-4, 9000, 4e-5);
    }
    return x;
}

TEST(EvaluationError, OfARealisticImpulseLiesUnderAThousandthOfADecibel) {
    const auto hz = logarithmicGrid(20, 20000, 48);
    double worst = 0, worstDeg = 0;
    for (const std::size_t length : {2000U, 16384U}) {
        const auto x = realisticImpulse(length);
        const auto out = sampledSpectrum(x, hz);
        for (std::size_t i = 0; i < hz.size(); ++i) {
            const auto expected = plain::transformAt<double>(x, hz[i] / rate);
            worst = std::max(worst, std::abs(plain::decibels(std::abs(out[i] / expected))));
            worstDeg = std::max(worstDeg, std::abs(std::arg(out[i] / expected)) * 180 / M_PI);
        }
    }
    RecordProperty("evaluation_error_db", significantText(worst, 3));
    std::cout << "evaluation error, 20 Hz to 20 kHz: " + significantText(worst, 3) + " dB, " +
                     significantText(worstDeg, 3) + " degrees\n";
    EXPECT_LT(worst, 1e-3);
    EXPECT_LT(worstDeg, 1e-2);
}

TEST(SpectrumSampler, RefusesEmptySignalsAndFrequenciesAboveHalfTheRate) {
    const std::vector<double> good{100}, high{24001}, negative{-1}, unknown{NAN};
    EXPECT_THROW(SpectrumSampler(good, rate, 0), Error);
    EXPECT_THROW(SpectrumSampler(high, rate, 10), Error);
    EXPECT_THROW(SpectrumSampler(negative, rate, 10), Error);
    EXPECT_THROW(SpectrumSampler(unknown, rate, 10), Error);
}

}  // namespace
}  // namespace volvelle
