#include "Ingest/Placement.h"
#include "Ingest/SoundFiles.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

namespace volvelle::test {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

ManifestRow onOrbit(Orbit orbit, double angle) {
    ManifestRow row;
    row.orbit = orbit;
    row.angleDeg = angle;
    row.direction = directionOn(orbit, angle);
    return row;
}

TEST(PlacementOf, withoutOffsetIsTheCommandedDirectionAtTheDistance) {
    for (const double angle : {-170.0, -30.0, 0.0, 90.0, 180.0}) {
        const auto row = onOrbit(Orbit::vertical, angle);
        const Placement p = placementOf(row, {nan, nan, nan}, 2, "M");
        EXPECT_EQ(angleBetweenDeg(p.direction, row.direction), 0);
        EXPECT_EQ(p.distanceM, 2);
    }
}

// Plane trigonometry: reference point 0.15 m ahead of the axis, microphone 2.15 m from the axis.
TEST(PlacementOf, aPointAheadOfTheAxisIsSeenFromBehindAtNinetyDegrees) {
    const std::array<double, 3> ahead{0.15, 0, 0};
    const Placement front = placementOf(onOrbit(Orbit::horizontal, 0), ahead, 2, "M");
    EXPECT_NEAR(front.distanceM, 2, 1e-12);
    EXPECT_NEAR(front.direction.azimuthDeg, 0, 1e-12);
    const Placement side = placementOf(onOrbit(Orbit::horizontal, 90), ahead, 2, "M");
    EXPECT_NEAR(side.direction.azimuthDeg, 90 + std::atan(0.15 / 2.15) * 180 / std::numbers::pi, 1e-9);
    EXPECT_NEAR(side.distanceM, std::hypot(0.15, 2.15), 1e-12);
    const Placement back = placementOf(onOrbit(Orbit::horizontal, 180), ahead, 2, "M");
    EXPECT_NEAR(back.distanceM, 2.3, 1e-12);
    EXPECT_NEAR(std::abs(back.direction.azimuthDeg), 180, 1e-9);
}

TEST(PlacementOf, theVerticalOrbitTurnsFromAheadToUp) {
    const Placement up = placementOf(onOrbit(Orbit::vertical, 90), {0.15, 0, 0}, 2, "M");
    EXPECT_NEAR(up.direction.elevationDeg, 90 - std::atan(0.15 / 2.15) * 180 / std::numbers::pi, 1e-9);
    EXPECT_NEAR(std::abs(up.direction.azimuthDeg), 180, 1e-9);
    const Placement high = placementOf(onOrbit(Orbit::vertical, 90), {0, 0, 0.3}, 2, "M");
    const double radius = std::sqrt(4 - 0.09);
    EXPECT_NEAR(high.distanceM, radius - 0.3, 1e-12);
    EXPECT_NEAR(high.direction.elevationDeg, 90, 1e-9);
}

TEST(PlacementOf, theOffsetAlongTheTablesAxisHasNoEffect) {
    const Placement h = placementOf(onOrbit(Orbit::horizontal, 40), {0.1, 0.05, 0.4}, 2, "M");
    const Placement flat = placementOf(onOrbit(Orbit::horizontal, 40), {0.1, 0.05, 0}, 2, "M");
    EXPECT_EQ(angleBetweenDeg(h.direction, flat.direction), 0);
    EXPECT_EQ(h.direction.elevationDeg, 0);
    EXPECT_EQ(placementOf(onOrbit(Orbit::vertical, 40), {0, 0.4, 0}, 2, "M").distanceM, 2);
}

TEST(PlacementOf, aPointToTheLeftMirrorsOneToTheRight) {
    for (double angle = 10; angle < 180; angle += 35) {
        const Placement left = placementOf(onOrbit(Orbit::horizontal, angle), {0.1, 0.2, 0}, 1.5, "M");
        const Placement right = placementOf(onOrbit(Orbit::horizontal, -angle), {0.1, -0.2, 0}, 1.5, "M");
        EXPECT_NEAR(left.distanceM, right.distanceM, 1e-12);
        EXPECT_NEAR(left.direction.azimuthDeg, -right.direction.azimuthDeg, 1e-9);
    }
}

TEST(PlacementOf, aDistanceStatedInTheRowHoldsInThatRow) {
    auto row = onOrbit(Orbit::horizontal, 120);
    row.distanceM = 3;
    const Placement p = placementOf(row, {0.15, 0, 0}, 2, "M");
    EXPECT_NEAR(p.distanceM, 3, 1e-12);
    EXPECT_NE(p.direction.azimuthDeg, 120);
}

TEST(PlacementOf, anOffsetThatReachesTheMicrophoneIsRefused) {
    const Error error = errorOf([] {
        placementOf(onOrbit(Orbit::horizontal, 0), {2, 0, 0}, 2, "M.csv, line 2");
    });
    EXPECT_EQ(error.kind(), ErrorKind::input);
    EXPECT_EQ(error.where(), "M.csv, line 2");
}

}  // namespace

}  // namespace volvelle::test
