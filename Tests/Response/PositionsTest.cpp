#include "Response/Positions.h"
#include "Response/ToyRun.h"

#include <gtest/gtest.h>

namespace volvelle {
namespace {

using toy::captureAt;

Capture numbered(double angleDeg, int repeat, int attempt, CaptureState state = CaptureState::kept) {
    Capture c = captureAt(Orbit::horizontal, angleDeg);
    c.repeat = repeat;
    c.attempt = attempt;
    c.state = state;
    return c;
}

std::vector<MeasuredPosition> positionsOf(std::vector<Capture> captures, const Recipe& recipe = {}) {
    return measuredPositions(toy::impulseDrive("front", std::move(captures)), recipe);
}

using Numbers = std::vector<std::size_t>;

TEST(MeasuredPositions, AreInTheOrderOfCapturesAndKnowTheirOrbit) {
    const auto p = positionsOf({captureAt(Orbit::vertical, 100), captureAt(Orbit::horizontal, -30)});
    ASSERT_EQ(p.size(), 2u);
    EXPECT_EQ(p[0].name, "vertical:100");
    EXPECT_EQ(p[0].orbit, Orbit::vertical);
    EXPECT_EQ(p[0].angleDeg, 100);
    EXPECT_TRUE(sameDirection(p[0].direction, {180, 80}));
    EXPECT_EQ(p[1].name, "horizontal:-30");
    EXPECT_EQ(p[1].captures, Numbers{1});
}

TEST(MeasuredPositions, OfOneDirectionInTwoStancesAreTwo) {
    EXPECT_EQ(positionsOf({captureAt(Orbit::horizontal, 0), captureAt(Orbit::vertical, 0)}).size(), 2u);
    EXPECT_EQ(positionsOf({captureAt(Orbit::horizontal, 180), captureAt(Orbit::horizontal, -180)}).size(),
              1u);
}

TEST(MeasuredPositions, StandAtTheNominalAngleWhereTheTrueDirectionDeparts) {
    Capture c = captureAt(Orbit::horizontal, 90);
    c.direction = {94.3, 0};
    const auto p = positionsOf({c});
    EXPECT_TRUE(sameDirection(p[0].direction, {90, 0}));
    EXPECT_EQ(p[0].name, "horizontal:90");
}

TEST(MeasuredPositions, UseTheFirstRepeatThatIsNotDoubtful) {
    const auto p =
        positionsOf({numbered(0, 1, 1, CaptureState::doubtful), numbered(0, 3, 1), numbered(0, 2, 1)});
    ASSERT_EQ(p.size(), 1u);
    EXPECT_EQ(p[0].captures, Numbers{2});
    EXPECT_FALSE(p[0].doubtful);
}

TEST(MeasuredPositions, UseTheLastAttemptAndNeverASupersededOne) {
    const auto p =
        positionsOf({numbered(0, 1, 1, CaptureState::superseded), numbered(0, 1, 2), numbered(0, 1, 3)});
    EXPECT_EQ(p[0].captures, Numbers{2});
    EXPECT_TRUE(positionsOf({numbered(0, 1, 1, CaptureState::superseded)}).empty());
}

TEST(MeasuredPositions, UseDoubtfulCapturesAndNameThemUnlessTheRecipeExcludesThem) {
    const std::vector<Capture> captures{numbered(0, 1, 1, CaptureState::doubtful), numbered(10, 1, 1)};
    const auto used = positionsOf(captures);
    ASSERT_EQ(used.size(), 2u);
    EXPECT_TRUE(used[0].doubtful);
    EXPECT_FALSE(used[1].doubtful);
    Recipe strict;
    strict.excludeDoubtful = true;
    const auto kept = positionsOf(captures, strict);
    ASSERT_EQ(kept.size(), 1u);
    EXPECT_EQ(kept[0].name, "horizontal:10");
}

TEST(MeasuredPositions, TakeAllRepeatsForTheComplexMean) {
    Recipe mean;
    mean.repeats = Recipe::Repeats::complexMean;
    const auto p = positionsOf({numbered(0, 2, 1), numbered(0, 1, 1), numbered(10, 1, 1)}, mean);
    ASSERT_EQ(p.size(), 2u);
    EXPECT_EQ(p[0].captures, (Numbers{1, 0}));
}

TEST(MeasuredPositions, TakeOneAttemptOfEachRepeatForTheComplexMean) {
    Recipe mean;
    mean.repeats = Recipe::Repeats::complexMean;
    const auto doubtful = CaptureState::doubtful, superseded = CaptureState::superseded;
    const auto used = [&](std::vector<Capture> captures) {
        return positionsOf(std::move(captures), mean).at(0).captures;
    };
    EXPECT_EQ(used({numbered(0, 1, 1), numbered(0, 1, 2), numbered(0, 2, 1)}), (Numbers{1, 2}));
    // The last that is not doubtful counts; where all are, the last.
    EXPECT_EQ(used({numbered(0, 1, 1), numbered(0, 1, 2), numbered(0, 1, 3, doubtful)}), Numbers{1});
    EXPECT_EQ(used({numbered(0, 1, 1, doubtful), numbered(0, 1, 2, doubtful)}), Numbers{1});
    EXPECT_EQ(used({numbered(0, 1, 1), numbered(0, 1, 2, superseded)}), Numbers{0});
    EXPECT_EQ(used({numbered(0, 2, 2, doubtful), numbered(0, 1, 1), numbered(0, 2, 1, doubtful)}),
              (Numbers{1, 0}));
}

TEST(MeasuredPositions, AreMadeOfPositionCapturesOnly) {
    Capture background = captureAt(Orbit::horizontal, 0), check = background, low = background;
    background.kind = CaptureKind::background;
    check.kind = CaptureKind::axisCheck;
    low.kind = CaptureKind::lowSweep;
    EXPECT_TRUE(positionsOf({background, check, low}).empty());
}

TEST(MeasuredPositions, OffTheOrbitsKeepTheirDirection) {
    Capture c = captureAt(Orbit::horizontal, 30);
    c.orbit.reset();
    c.direction = {30, 20};
    const auto p = positionsOf({c});
    EXPECT_FALSE(p[0].orbit);
    EXPECT_EQ(p[0].name, "azimuth:30,elevation:20");
}

}  // namespace
}  // namespace volvelle
