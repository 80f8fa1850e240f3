#include "Sphere/Direction.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

namespace volvelle {
namespace {

constexpr std::uint64_t seed = 20261103;

/// Directions that fill the sphere evenly.
Direction randomDirection(std::mt19937_64& generator) {
    std::uniform_real_distribution<double> azimuth(-180, 180), height(-1, 1);
    return direction(azimuth(generator), std::asin(height(generator)) * 180 / M_PI);
}

void expectSame(const Direction& a, const Direction& b, double toleranceDeg = 1e-9) {
    EXPECT_LT(angleBetweenDeg(a, b), toleranceDeg) << positionName(a) << " and " << positionName(b);
}

ErrorKind kindThrownBy(const std::function<void()>& action) {
    try {
        action();
    } catch (const Error& error) {
        return error.kind();
    }
    ADD_FAILURE() << "nothing was thrown";
    return ErrorKind::bug;
}

TEST(FoldedAngle, LiesAboveMinus180AndUpTo180) {
    EXPECT_EQ(foldedDeg(-180), 180);
    EXPECT_EQ(foldedDeg(180), 180);
    EXPECT_EQ(foldedDeg(540), 180);
    EXPECT_EQ(foldedDeg(270), -90);
    EXPECT_EQ(foldedDeg(350), -10);
    EXPECT_EQ(foldedDeg(-190), 170);
    EXPECT_EQ(foldedDeg(360), 0);
    EXPECT_FALSE(std::signbit(foldedDeg(-360)));
    for (int angle = -1000; angle <= 1000; ++angle) {
        const double folded = foldedDeg(angle);
        EXPECT_GT(folded, -180);
        EXPECT_LE(folded, 180);
        EXPECT_EQ(std::fmod(folded - angle, 360), 0) << angle;
    }
}

TEST(DirectionNormalised, HasAzimuthZeroAtBothPoles) {
    EXPECT_EQ(direction(77, 90).azimuthDeg, 0);
    EXPECT_EQ(direction(-120, -90).azimuthDeg, 0);
    EXPECT_TRUE(sameDirection(direction(10, 90), direction(200, 90)));
}

TEST(DirectionNormalised, RefusesWhatIsNoDirection) {
    const double nan = std::numeric_limits<double>::quiet_NaN(),
                 inf = std::numeric_limits<double>::infinity();
    EXPECT_EQ(kindThrownBy([&] { direction(nan, 0); }), ErrorKind::input);
    EXPECT_EQ(kindThrownBy([&] { direction(0, inf); }), ErrorKind::input);
    EXPECT_EQ(kindThrownBy([&] { direction(0, 90.5); }), ErrorKind::input);
    EXPECT_EQ(kindThrownBy([&] { directionOn(Orbit::vertical, nan); }), ErrorKind::input);
    EXPECT_EQ(kindThrownBy([&] { directionOf({0, 0, 0}); }), ErrorKind::input);
}

TEST(UnitVector, IsRightHandedWithXAheadYLeftZUp) {
    const auto near = [](const std::array<double, 3>& v, double x, double y, double z) {
        EXPECT_NEAR(v[0], x, 1e-15);
        EXPECT_NEAR(v[1], y, 1e-15);
        EXPECT_NEAR(v[2], z, 1e-15);
    };
    near(unitVector(directionOn(Orbit::horizontal, 0)), 1, 0, 0);
    near(unitVector(directionOn(Orbit::horizontal, 90)), 0, 1, 0);
    near(unitVector(directionOn(Orbit::vertical, 90)), 0, 0, 1);
    near(unitVector(directionOn(Orbit::vertical, 180)), -1, 0, 0);
    near(unitVector(directionOn(Orbit::vertical, -90)), 0, 0, -1);
    near(unitVector(directionOn(Orbit::horizontal, 270)), 0, -1, 0);
}

TEST(UnitVector, RoundTripsForRandomDirections) {
    SCOPED_TRACE(seed);
    std::mt19937_64 generator(seed);
    for (int i = 0; i < 2000; ++i) {
        const Direction d = randomDirection(generator);
        const auto v = unitVector(d);
        EXPECT_NEAR(std::hypot(v[0], v[1], v[2]), 1, 1e-15);
        expectSame(directionOf(v), d);
        expectSame(directionOf({7 * v[0], 7 * v[1], 7 * v[2]}), d);
    }
}

TEST(VerticalOrbit, RunsOverThePoleToAzimuth180) {
    const Direction d = directionOn(Orbit::vertical, 100);
    EXPECT_EQ(d.azimuthDeg, 180);
    EXPECT_EQ(d.elevationDeg, 80);
    const Direction below = directionOn(Orbit::vertical, -100);
    EXPECT_EQ(below.azimuthDeg, 180);
    EXPECT_EQ(below.elevationDeg, -80);
    EXPECT_EQ(directionOn(Orbit::vertical, 180).azimuthDeg, 180);
    EXPECT_EQ(directionOn(Orbit::vertical, 180).elevationDeg, 0);
}

TEST(OrbitAngle, RoundTripsOnBothOrbitsForEveryHalfDegree) {
    for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
        for (int half = -720; half <= 720; ++half) {
            const auto angle = angleOn(orbit, directionOn(orbit, half / 2.0));
            ASSERT_TRUE(angle) << orbitName(orbit) << ' ' << half / 2.0;
            EXPECT_EQ(*angle, foldedDeg(half / 2.0)) << orbitName(orbit);
        }
}

TEST(OrbitAngle, IsTheArcFromTheReferenceAxisAlongTheOrbit) {
    for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
        for (int angle = -179; angle <= 180; ++angle)
            EXPECT_NEAR(angleBetweenDeg(Direction{}, directionOn(orbit, angle)), std::abs(angle), 1e-9);
}

TEST(OrbitAngle, IsRecognisedWithinAHundredthOfADegreeAndNotBeyond) {
    std::mt19937_64 generator(seed);
    std::uniform_real_distribution<double> any(-179.99, 180);
    for (int i = 0; i < 500; ++i) {
        const double angle = any(generator);
        // A step of given size square to the orbit: horizontal orbit along z, vertical orbit along y.
        for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
            for (const double offDeg : {0.009, -0.009, 0.011, -0.011}) {
                auto v = unitVector(directionOn(orbit, angle));
                const std::size_t across = orbit == Orbit::horizontal ? 2 : 1;
                for (auto& x : v) x *= std::cos(offDeg * M_PI / 180);
                v[across] += std::sin(offDeg * M_PI / 180);
                const auto found = angleOn(orbit, directionOf(v));
                EXPECT_EQ(found.has_value(), std::abs(offDeg) < 0.01) << orbitName(orbit) << ' ' << angle;
                if (found) {
                    EXPECT_NEAR(foldedDeg(*found - angle), 0, 1e-9);
                }
            }
    }
}

TEST(OrbitAngle, IsFoundAtTheCommonPointsOfBothOrbits) {
    EXPECT_EQ(angleOn(Orbit::vertical, direction(180, 0)), 180);
    EXPECT_EQ(angleOn(Orbit::horizontal, direction(180, 0)), 180);
    EXPECT_EQ(angleOn(Orbit::vertical, direction(30, 90)), 90);
    EXPECT_FALSE(angleOn(Orbit::vertical, direction(90, 0)));
    EXPECT_FALSE(angleOn(Orbit::horizontal, direction(0, 10)));
}

TEST(AngleBetween, KeepsItsDigitsAtBothEnds) {
    EXPECT_NEAR(angleBetweenDeg(direction(0, 0), direction(1e-7, 0)), 1e-7, 1e-14);
    EXPECT_NEAR(angleBetweenDeg(direction(0, 0), direction(180 - 1e-7, 0)), 180 - 1e-7, 1e-12);
    EXPECT_TRUE(sameDirection(direction(40, 20), direction(40.009, 20)));
    EXPECT_FALSE(sameDirection(direction(40, 0), direction(40.011, 0)));
}

TEST(RotationByRelabelling, KeepsAnglesBetweenDirections) {
    std::mt19937_64 generator(seed);
    for (int i = 0; i < 500; ++i) {
        const Direction a = randomDirection(generator), b = randomDirection(generator);
        for (const double axis : {0.0, 180.0, 37.0})
            EXPECT_NEAR(angleBetweenDeg(relativeTo(axis, a), relativeTo(axis, b)), angleBetweenDeg(a, b),
                        1e-9);
    }
}

TEST(RotationByRelabelling, TakesTheAxisToZeroAndTwiceBackToTheStart) {
    std::mt19937_64 generator(seed);
    expectSame(relativeTo(180, directionOn(Orbit::horizontal, 180)), Direction{});
    for (int i = 0; i < 200; ++i) {
        const Direction d = randomDirection(generator);
        expectSame(relativeTo(0, d), d);
        expectSame(relativeTo(180, relativeTo(180, d)), d);
    }
}

TEST(RotationByRelabelling, TurnsHorizontalByTheAxisAndMirrorsVertical) {
    for (int angle = -179; angle <= 180; ++angle) {
        const Direction h = relativeTo(180, directionOn(Orbit::horizontal, angle));
        EXPECT_EQ(angleOn(Orbit::horizontal, h), foldedDeg(angle - 180));
        const Direction v = relativeTo(180, directionOn(Orbit::vertical, angle));
        ASSERT_TRUE(angleOn(Orbit::vertical, v)) << angle;
        EXPECT_EQ(angleOn(Orbit::vertical, v), foldedDeg(180 - angle));
    }
}

TEST(MirrorSymmetry, ChangesTheSignOfTheAngleOfItsOrbitOnly) {
    for (int angle = -179; angle < 180; ++angle) {
        const auto left = unitVector(directionOn(Orbit::horizontal, angle));
        EXPECT_NEAR(*angleOn(Orbit::horizontal, directionOf({left[0], -left[1], left[2]})), -angle, 1e-9);
        const auto up = unitVector(directionOn(Orbit::vertical, angle));
        EXPECT_NEAR(*angleOn(Orbit::vertical, directionOf({up[0], up[1], -up[2]})), -angle, 1e-9);
    }
}

TEST(PositionName, IsReadBackAsTheSameDirection) {
    SCOPED_TRACE(seed);
    std::mt19937_64 generator(seed);
    for (int i = 0; i < 1000; ++i) {
        const Direction d = randomDirection(generator);
        expectSame(parsePosition(positionName(d)).direction, d, 2e-6);
    }
    for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
        for (int angle = -179; angle <= 180; ++angle) {
            const Direction d = directionOn(orbit, angle);
            const NamedPosition read = parsePosition(positionName(d, orbit));
            EXPECT_EQ(read.orbit, orbit);
            expectSame(read.direction, d);
        }
}

TEST(PositionName, IsShortAndPrefersTheGivenOrbit) {
    EXPECT_EQ(positionName(directionOn(Orbit::horizontal, 50)), "horizontal:50");
    EXPECT_EQ(positionName(directionOn(Orbit::vertical, -30)), "vertical:-30");
    EXPECT_EQ(positionName(directionOn(Orbit::vertical, 100)), "vertical:100");
    EXPECT_EQ(positionName(direction(30, 20)), "azimuth:30,elevation:20");
    EXPECT_EQ(positionName(Direction{}), "horizontal:0");
    EXPECT_EQ(positionName(Direction{}, Orbit::vertical), "vertical:0");
    EXPECT_EQ(positionName(direction(180, 0), Orbit::vertical), "vertical:180");
    EXPECT_EQ(positionName(directionOn(Orbit::horizontal, -180)), "horizontal:180");
    EXPECT_EQ(positionName(directionOn(Orbit::horizontal, 22.5), Orbit::vertical), "horizontal:22.5");
    EXPECT_EQ(positionName(directionOf(unitVector(directionOn(Orbit::vertical, 130)))), "vertical:130");
}

TEST(PositionName, ReadsAnglesFrom0To350) {
    expectSame(parsePosition("horizontal:350").direction, directionOn(Orbit::horizontal, -10));
    expectSame(parsePosition("vertical:270").direction, directionOn(Orbit::vertical, -90));
    expectSame(parsePosition("horizontal:-180").direction, directionOn(Orbit::horizontal, 180));
}

TEST(PositionName, RefusesWhatNamesNoPosition) {
    for (const char* text :
         {"", "horizontal", "horizontal:", "horizontal:x", "horizontal:nan", "horizontal:1e999",
          "diagonal:10", "azimuth:30", "azimuth:30,elevation:", "azimuth:30,elevation:91", "horizontal:10,5",
          "horizontal:1 0", "Horizontal:10", "azimuth:inf,elevation:0"})
        EXPECT_EQ(kindThrownBy([&] { parsePosition(text); }), ErrorKind::usage) << text;
}

}  // namespace
}  // namespace volvelle
