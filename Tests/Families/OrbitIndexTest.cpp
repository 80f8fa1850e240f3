#include "Families/OrbitIndex.h"
#include "Response/ToyRun.h"

#include <gtest/gtest.h>

namespace volvelle {
namespace {

std::vector<MeasuredPosition> positionsOf(const std::vector<Capture>& captures) {
    return measuredPositions(toy::impulseDrive("front", captures), {});
}

TEST(OrbitIndex, FindsPositionsByTheirAngleHoweverItIsWritten) {
    const auto positions = positionsOf(toy::twoOrbits(10));
    const OrbitIndex index(positions, 0);
    for (std::size_t p = 0; p < positions.size(); ++p) {
        EXPECT_EQ(index.measuredOn(*positions[p].orbit, positions[p].angleDeg), p);
        EXPECT_EQ(index.measuredOn(*positions[p].orbit, positions[p].angleDeg + 360), p);
    }
    EXPECT_EQ(index.at(Orbit::horizontal, 270), index.at(Orbit::horizontal, -90));
    EXPECT_EQ(index.at(Orbit::vertical, -180), index.at(Orbit::vertical, 180));
    EXPECT_FALSE(index.at(Orbit::horizontal, 5));
}

// Horizontal θ is θ - 180° from the axis, vertical θ is 180° - θ.
TEST(OrbitIndex, FromAnAxisOf180TurnsHorizontalAndMirrorsVertical) {
    const auto positions = positionsOf(toy::twoOrbits(10));
    const OrbitIndex front(positions, 0), rear(positions, 180);
    for (int t = -170; t <= 180; t += 10) {
        EXPECT_EQ(rear.measuredOn(Orbit::horizontal, t - 180), front.measuredOn(Orbit::horizontal, t)) << t;
        EXPECT_EQ(rear.measuredOn(Orbit::vertical, 180 - t), front.measuredOn(Orbit::vertical, t)) << t;
    }
}

TEST(OrbitIndex, UsesTheHorizontalPoleWhereThereAreTwoAndTheVerticalWhereItIsAlone) {
    using toy::captureAt;
    const auto both = positionsOf(
        {captureAt(Orbit::vertical, 0), captureAt(Orbit::horizontal, 0), captureAt(Orbit::vertical, 180)});
    const OrbitIndex index(both, 0);
    EXPECT_EQ(index.at(Orbit::horizontal, 0), 1u);
    EXPECT_EQ(index.at(Orbit::vertical, 0), 1u);
    EXPECT_EQ(index.measuredOn(Orbit::vertical, 0), 0u);
    EXPECT_EQ(index.at(Orbit::horizontal, 180), 2u);
    EXPECT_FALSE(index.measuredOn(Orbit::horizontal, 180));
    ASSERT_EQ(index.orbit(Orbit::vertical).size(), 2u);
    EXPECT_EQ(index.orbit(Orbit::vertical)[0].position, 1u);  // the one that is used
    EXPECT_EQ(index.orbit(Orbit::horizontal).size(), 2u);  // with the pole that only the vertical orbit has
}

TEST(OrbitIndex, RecognisesDirectionsByAzimuthAndElevation) {
    Capture c = toy::captureAt(Orbit::horizontal, 0);
    c.orbit.reset();
    std::vector<Capture> captures(4, c);
    captures[0].direction = {180, 80};  // vertical 100
    captures[1].direction = {-50, 0};   // horizontal -50
    captures[2].direction = {30, 20};   // on neither
    captures[3].direction = {0, 0};     // on both
    const OrbitIndex index(positionsOf(captures), 0);
    EXPECT_EQ(index.at(Orbit::vertical, 100), 0u);
    EXPECT_EQ(index.at(Orbit::horizontal, -50), 1u);
    EXPECT_EQ(index.at(Orbit::horizontal, 0), 3u);
    EXPECT_EQ(index.measuredOn(Orbit::vertical, 0), 3u);
    EXPECT_EQ(index.orbit(Orbit::horizontal).size(), 2u);
}

TEST(OrbitIndex, KnowsTheSmallestCompleteStep) {
    for (const double step : {10.0, 5.0, 3.0, 2.0}) {
        auto captures = toy::twoOrbits(step);
        EXPECT_EQ(OrbitIndex(positionsOf(captures), 0).completeStepDeg(), step);
        EXPECT_EQ(OrbitIndex(positionsOf(captures), 180).completeStepDeg(), step);
    }
    auto captures = toy::twoOrbits(5);
    std::erase_if(captures, [](const Capture& c) { return c.orbit == Orbit::vertical && c.angleDeg == 35; });
    EXPECT_EQ(OrbitIndex(positionsOf(captures), 0).completeStepDeg(), 10);
    std::erase_if(captures,
                  [](const Capture& c) { return c.orbit == Orbit::horizontal && c.angleDeg == 40; });
    EXPECT_FALSE(OrbitIndex(positionsOf(captures), 0).completeStepDeg());
    // Vertical poles may be absent: the horizontal ones serve.
    auto lean = toy::twoOrbits(10);
    std::erase_if(lean, [](const Capture& c) {
        return c.orbit == Orbit::vertical && (c.angleDeg == 0 || c.angleDeg == 180);
    });
    EXPECT_EQ(lean.size(), 70u);
    EXPECT_EQ(OrbitIndex(positionsOf(lean), 0).completeStepDeg(), 10);
}

TEST(OrbitIndex, ListsAnglesInGrowingOrder) {
    const auto positions = positionsOf(toy::twoOrbits(10));
    for (const double axis : {0.0, 180.0})
        for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical}) {
            const auto entries = OrbitIndex(positions, axis).orbit(orbit);
            ASSERT_EQ(entries.size(), 36u);
            for (std::size_t i = 0; i < 36; ++i) EXPECT_EQ(entries[i].angleDeg, -170 + 10 * double(i));
        }
}

}  // namespace
}  // namespace volvelle
