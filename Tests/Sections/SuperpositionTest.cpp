#include "Sections/HandMade.h"
#include "Sections/Superposition.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace volvelle {
namespace {

using handmade::lopsided;
using handmade::otherOne;

std::complex<double> silent(const Direction&, double) {
    return 0;
}

HeldSections twoParts() {
    return handmade::sections({{"front", lopsided}, {"rear", otherOne}}, silent);
}

Superposition::Sums sumsOf(const HeldSections& held, const std::vector<SectionSetting>& settings) {
    Superposition::Sums sums;
    Superposition(held).add(settings, sums);
    return sums;
}

void expectLevels(const std::vector<std::vector<double>>& got,
                  const std::vector<std::vector<double>>& expected, double stepDb, double tolerance = 1e-9) {
    ASSERT_EQ(got.size(), expected.size());
    for (std::size_t c = 0; c < got.size(); ++c)
        for (std::size_t f = 0; f < got[c].size(); ++f)
            EXPECT_NEAR(got[c][f], expected[c][f] + stepDb, tolerance) << c << " " << f;
}

// Two equal sources, in phase +6.02 dB, uncorrelated +3.01 dB, opposite phase: cancel (handbook).
TEST(Superposition, OfTwoEqualSourcesInPhaseIs602DbAndTheirPowerSum301Db) {
    const HeldSections one = handmade::sections({{"a", lopsided}}, silent);
    const HeldSections two = handmade::sections({{"a", lopsided}, {"b", lopsided}}, silent);
    const auto single = sumsOf(one, {{}}), both = sumsOf(two, {{}, {}});
    expectLevels(both.levelDb, single.levelDb, 20 * std::log10(2));
    expectLevels(both.powerSumDb, single.levelDb, 10 * std::log10(2));
    EXPECT_NEAR(20 * std::log10(2), 6.02, 0.005);
    EXPECT_NEAR(10 * std::log10(2), 3.01, 0.005);
}

TEST(Superposition, OfTwoEqualSourcesInOppositePhaseIsNothingAndTheirPowerSumStays) {
    const HeldSections two = handmade::sections({{"a", lopsided}, {"b", lopsided}}, silent);
    const auto same = sumsOf(two, {{}, {}}), opposite = sumsOf(two, {{}, {0, 0, true}});
    for (const auto& p : opposite.pressure) EXPECT_EQ(std::abs(p), 0);
    for (const auto& curve : opposite.levelDb)
        for (const double level : curve) EXPECT_TRUE(std::isnan(level));
    expectLevels(opposite.powerSumDb, same.powerSumDb, 0);
}

TEST(Superposition, IsThePlainSumWithGainDelayAndPolarityOfEachPart) {
    const HeldSections held = twoParts();
    const std::vector<SectionSetting> settings{{-2, 0, false}, {1.5, 0.0003, true}};
    const auto sums = sumsOf(held, settings);
    const std::size_t points = held.grids.computedHz.size();
    for (std::size_t p = 0; p < held.positions.size(); ++p)
        for (std::size_t f = 0; f < points; ++f) {
            const double hz = held.grids.computedHz[f];
            const auto expected = std::pow(10, -0.1) * lopsided(held.positions[p].direction, hz) -
                                  std::pow(10, 0.075) * std::polar(1.0, -2 * std::numbers::pi * hz * 0.0003) *
                                      otherOne(held.positions[p].direction, hz);
            EXPECT_LT(std::abs(sums.pressure[p * points + f] - expected), 1e-13);
        }
}

TEST(Superposition, GainScalesWhatItIsSetOn) {
    const HeldSections held = twoParts();
    const auto plain = sumsOf(held, {{}, {}});
    expectLevels(sumsOf(held, {{-7.25, 0, false}, {-7.25, 0, false}}).levelDb, plain.levelDb, -7.25);
    expectLevels(sumsOf(held, {{-7.25, 0, false}, {-7.25, 0, false}}).powerSumDb, plain.powerSumDb, -7.25);
}

TEST(Superposition, DelayTurnsThePhaseByTwoPiFTauAndLeavesEveryLevelOfAPartAlone) {
    const HeldSections held = handmade::sections({{"a", lopsided}}, silent);
    for (const double delayS : {0.0003, -0.00125, 0.25}) {
        const auto plain = sumsOf(held, {{}}), late = sumsOf(held, {{0, delayS, false}});
        const std::size_t points = held.grids.computedHz.size();
        for (std::size_t i = 0; i < plain.pressure.size(); ++i) {
            const double turn = -2 * std::numbers::pi * held.grids.computedHz[i % points] * delayS;
            EXPECT_NEAR(
                std::remainder(std::arg(late.pressure[i] / plain.pressure[i]) - turn, 2 * std::numbers::pi),
                0, 1e-11);
        }
        expectLevels(late.levelDb, plain.levelDb, 0);
    }
}

TEST(Superposition, OfAllPartsDelayedAlikeHasTheLevelsOfNone) {
    const HeldSections held = twoParts();
    expectLevels(sumsOf(held, {{0, 0.001, false}, {0, 0.001, false}}).levelDb, sumsOf(held, {{}, {}}).levelDb,
                 0);
}

TEST(Superposition, GivesTheSameBitsWhenItsMemoryIsUsedAgain) {
    const HeldSections held = twoParts();
    const Superposition superposition(held);
    Superposition::Sums again;
    const std::vector<SectionSetting> plain{{}, {}}, other{{3, 0.001, true}, {}};
    superposition.add(other, again);
    superposition.add(plain, again);
    const auto fresh = sumsOf(held, plain);
    EXPECT_EQ(again.pressure, fresh.pressure);
    EXPECT_EQ(again.levelDb, fresh.levelDb);
    EXPECT_EQ(again.powerSumDb, fresh.powerSumDb);
}

TEST(Superposition, OfPartsThatLackAPositionEmptiesTheCurvesThatNeedItAndNamesIt) {
    HeldSections held = twoParts();
    for (std::size_t p = 0; p < held.positions.size(); ++p)
        if (held.positions[p].name == "horizontal:90") held.parts[1].present[p] = 0;
    const Superposition superposition(held);
    Superposition::Sums sums;
    superposition.add(std::vector<SectionSetting>(2), sums);
    for (std::size_t c = 0; c < superposition.curves().size(); ++c) {
        const HeldCurve& curve = superposition.curves()[c];
        const bool needs = std::any_of(
            curve.definition.angles.begin(), curve.definition.angles.end(),
            [](const WeightedAngle& a) { return a.orbit == Orbit::horizontal && a.angleDeg == 90; });
        EXPECT_EQ(std::isnan(sums.levelDb[c][0]), needs) << curve.definition.key;
        EXPECT_EQ(curve.missing == std::vector<std::string>{"horizontal:90"}, needs) << curve.definition.key;
    }
}

TEST(Superposition, SmoothsAfterTheSum) {
    // Two paths 1 ms apart comb at multiples of 1 kHz: smoothed afterwards the mean of their powers is left.
    std::vector<double> grid;
    for (double f = 1000; f < 8000; f *= std::exp2(1.0 / 200)) grid.push_back(f);
    HeldSections held = handmade::sections(
        {{"a", [](const Direction&, double) { return 1.0; }},
         {"b", [](const Direction&, double f) { return std::polar(1.0, -2 * std::numbers::pi * f * 1e-2); }}},
        silent, grid);
    held.recipe.smoothing = 1;
    const auto sums = sumsOf(held, {{}, {}});
    const std::size_t middle = grid.size() / 2;
    EXPECT_NEAR(sums.levelDb[0][middle], sums.powerSumDb[0][middle], 0.3);
    EXPECT_NEAR(sums.powerSumDb[0][middle], 20 * std::log10(1 / 20e-6) + 10 * std::log10(2), 1e-6);
}

}  // namespace
}  // namespace volvelle
