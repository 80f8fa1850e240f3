#include "Chamber/Noise.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <set>
#include <vector>

namespace volvelle {
namespace {

std::vector<double> draws(std::uint64_t seed, std::size_t count) {
    Noise noise(seed);
    std::vector<double> out(count);
    for (double& v : out) v = noise();
    return out;
}

double correlation(const std::vector<double>& a, const std::vector<double>& b, std::size_t lag = 0) {
    double sum = 0;
    for (std::size_t i = lag; i < a.size(); ++i) sum += a[i - lag] * b[i];
    return sum / static_cast<double>(a.size());
}

// Moments of the normal distribution: 0, 1, 0, 3. Standard errors of n draws: 1, √2, √6, √24 over √n.
TEST(Noise, HasTheMomentsOfTheNormalDistribution) {
    constexpr std::size_t n = 400000;
    const double error = 1 / std::sqrt(double(n));
    for (const std::uint64_t seed : {0U, 1U, 12345U}) {
        double m1 = 0, m2 = 0, m3 = 0, m4 = 0;
        for (const double v : draws(seed, n)) m1 += v, m2 += v * v, m3 += v * v * v, m4 += v * v * v * v;
        EXPECT_NEAR(m1 / n, 0, 4.5 * error) << seed;
        EXPECT_NEAR(m2 / n, 1, 4.5 * std::sqrt(2) * error) << seed;
        EXPECT_NEAR(m3 / n, 0, 4.5 * std::sqrt(15) * error) << seed;
        EXPECT_NEAR(m4 / n, 3, 4.5 * std::sqrt(96) * error) << seed;
    }
}

TEST(Noise, StaysWithinAStandardDeviationAsOftenAsTheErrorFunctionSays) {
    constexpr std::size_t n = 400000;
    const auto x = draws(7, n);
    for (const double limit : {0.5, 1.0, 2.0, 3.0}) {
        const double expected = std::erf(limit / std::sqrt(2.0));
        const auto inside = static_cast<double>(
            std::count_if(x.begin(), x.end(), [&](double v) { return std::abs(v) < limit; }));
        EXPECT_NEAR(inside / n, expected, 4.5 * std::sqrt(expected * (1 - expected) / n)) << limit;
    }
}

TEST(Noise, OfOneSeedIsTheSameAndOfTwoIndependent) {
    constexpr std::size_t n = 100000;
    const auto a = draws(1, n), b = draws(2, n);
    EXPECT_EQ(a, draws(1, n));
    const double error = 4.5 / std::sqrt(double(n));
    EXPECT_NEAR(correlation(a, b), 0, error);
    for (const std::size_t lag : {1U, 2U, 3U, 64U}) EXPECT_NEAR(correlation(a, a, lag), 0, error) << lag;
}

TEST(MixedSeed, DependsOnEveryPartAndOnTheirOrder) {
    std::set<std::uint64_t> seeds;
    for (std::uint64_t position = 0; position < 20; ++position)
        for (std::uint64_t drive = 0; drive < 20; ++drive)
            for (std::uint64_t repeat = 0; repeat < 5; ++repeat)
                seeds.insert(mixedSeed(std::array<std::uint64_t, 4>{42, position, drive, repeat}));
    EXPECT_EQ(seeds.size(), 2000u);
    EXPECT_EQ(mixedSeed(std::array<std::uint64_t, 2>{3, 4}), mixedSeed(std::array<std::uint64_t, 2>{3, 4}));
}

TEST(Seed, OfATextIsItsFnv1aHash) {  // published test vectors of that hash, from memory
    EXPECT_EQ(seedOf(""), 0xCBF29CE484222325U);
    EXPECT_EQ(seedOf("a"), 0xAF63DC4C8601EC8CU);
    EXPECT_EQ(seedOf("foobar"), 0x85944171F73967E8U);
}

}  // namespace
}  // namespace volvelle
