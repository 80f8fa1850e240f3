#include "Signal/FrequencyGrid.h"
#include "Signal/Smoothing.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

namespace volvelle {
namespace {

/// The curve between its points: straight over the logarithm of frequency.
double between(const std::vector<double>& hz, const std::vector<double>& power, double x) {
    std::size_t i = 1;
    while (i + 1 < hz.size() && std::log2(hz[i]) < x) ++i;
    const double part = (x - std::log2(hz[i - 1])) / (std::log2(hz[i]) - std::log2(hz[i - 1]));
    return power[i - 1] + part * (power[i] - power[i - 1]);
}

/// Mean over the band by brute force; at the ends the band is cut on both sides alike.
double bruteForce(const std::vector<double>& hz, const std::vector<double>& power, int fraction, double f) {
    const double x = std::log2(f);
    const double half = std::min({0.5 / fraction, x - std::log2(hz.front()), std::log2(hz.back()) - x});
    constexpr int steps = 20000;
    double sum = 0;
    for (int i = 0; i < steps; ++i) sum += between(hz, power, x - half + 2 * half * (i + 0.5) / steps);
    return sum / steps;
}

TEST(Smoothing, IsTheMeanOverTheBand) {
    std::mt19937 generator(5);
    std::uniform_real_distribution<double> uniform(0, 1);
    std::vector<double> hz, power;
    for (double f = 50; f < 2000; f *= 1 + 0.05 * (0.1 + uniform(generator))) {
        hz.push_back(f);
        power.push_back(uniform(generator));
    }
    const std::vector<double> wanted{52, 70, 100.7, 333, 1000, 1800, 1890};
    for (const int fraction : {1, 3, 6, 12, 48}) {
        const auto smooth = smoothedPower(hz, power, fraction, wanted);
        for (std::size_t i = 0; i < wanted.size(); ++i)
            EXPECT_NEAR(smooth[i], bruteForce(hz, power, fraction, wanted[i]), 2e-4)
                << wanted[i] << " 1/" << fraction;
    }
}

TEST(Smoothing, KeepsConstantsAndSlopesUpToTheEnds) {
    const auto hz = logarithmicGrid(20, 20000, 24);
    std::vector<double> constant(hz.size(), 3.5), slope;
    for (const double f : hz) slope.push_back(2 + 0.5 * std::log2(f / 20));
    for (const int fraction : {1, 3, 12, 48}) {
        const auto a = smoothedPower(hz, constant, fraction, hz);
        const auto b = smoothedPower(hz, slope, fraction, hz);
        for (std::size_t i = 0; i < hz.size(); ++i) {
            EXPECT_NEAR(a[i], 3.5, 1e-6);
            EXPECT_NEAR(b[i], slope[i], 1e-6);
        }
    }
}

TEST(Smoothing, OfNoneIsACopyAndBeyondTheGridItsEndValuesHold) {
    const std::vector<double> hz{100, 200, 400}, power{1, 5, 2}, beyond{10, 5000};
    EXPECT_EQ(smoothedPower(hz, power, 0, hz), power);
    const auto ends = smoothedPower(hz, power, 3, beyond);
    EXPECT_NEAR(ends[0], 1, 1e-6);
    EXPECT_NEAR(ends[1], 2, 1e-6);
    EXPECT_THROW(smoothedPower(hz, power, 0, beyond), Error);
    EXPECT_THROW(smoothedPower(beyond, power, 3, hz), Error);
}

}  // namespace
}  // namespace volvelle
