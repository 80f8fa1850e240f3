#include "Sphere/AlikeDirections.h"
#include "Sphere/AngleSet.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <random>

namespace volvelle {
namespace {

std::string refusal(const std::function<void()>& work, ErrorKind kind) {
    try {
        work();
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), kind);
        return error.what();
    }
    return "no error";
}

std::size_t onSide(const AngleSet& set) {
    return static_cast<std::size_t>(std::count_if(set.positions.begin(), set.positions.end(),
                                                  [](const auto& p) { return p.stance == Stance::onSide; }));
}

const SetPosition* find(const AngleSet& set, Orbit orbit, double angle) {
    for (const auto& p : set.positions)
        if (p.orbit == orbit && p.angleDeg == angle) return &p;
    return nullptr;
}

TEST(AngleSet, CountsCapturesAndDirections) {
    struct Expected {
        const char* name;
        bool hasTilt;
        std::size_t captures, directions, onSide;
    };
    const Expected all[] = {{"on-axis", false, 1, 1, 0},
                            {"two-orbits-10", false, 72, 70, 36},
                            {"two-orbits-10", true, 70, 70, 0},
                            {"two-orbits-5", false, 144, 142, 72},
                            {"two-orbits-2", false, 360, 358, 180},
                            {"horizontal-10", false, 36, 36, 0},
                            {"horizontal-90", false, 4, 4, 0},
                            {"horizontal-1", true, 360, 360, 0},
                            {"sphere-10", true, 614, 614, 0},
                            {"sphere-5", true, 2522, 2522, 0}};
    for (const auto& e : all) {
        const AngleSet set = angleSet(e.name, e.hasTilt);
        EXPECT_EQ(set.name, e.name);
        EXPECT_EQ(set.hasTilt, e.hasTilt);
        EXPECT_EQ(set.positions.size(), e.captures) << e.name;
        EXPECT_EQ(directionCount(set), e.directions) << e.name;
        EXPECT_EQ(onSide(set), e.onSide) << e.name;
        EXPECT_FALSE(set.quadrature.empty());
        double sum = 0;
        for (const auto& p : set.positions) sum += p.weight;
        EXPECT_NEAR(sum, 1, 1e-13) << e.name;
    }
}

TEST(AngleSet, PositionsLieWhereTheirOrbitSays) {
    for (const auto& name : angleSetNames())
        for (const auto& p : angleSet(name, true).positions) {
            if (!p.orbit) {
                EXPECT_TRUE(std::isnan(p.angleDeg));
                EXPECT_FALSE(angleOn(Orbit::horizontal, p.direction)) << name;
                EXPECT_FALSE(angleOn(Orbit::vertical, p.direction)) << name;
                continue;
            }
            EXPECT_TRUE(sameDirection(p.direction, directionOn(*p.orbit, p.angleDeg))) << name;
        }
}

// ANSI/CTA-2034-A, Appendix C. The tabulated weight is of one half-arc; 0° and 180° stand for four.
TEST(TwoOrbitSet, HasTheWeightsOfCta2034AppendixC) {
    constexpr std::array<double, 10> tabulated = {0.000604486, 0.004730189, 0.008955027, 0.012387354,
                                                  0.014989611, 0.016868154, 0.018165962, 0.019006744,
                                                  0.019477787, 0.019629373};
    for (const bool hasTilt : {false, true})
        for (const auto& p : angleSet("two-orbits-10", hasTilt).positions) {
            const auto step = static_cast<std::size_t>(std::lround(std::abs(p.angleDeg) / 10));
            const bool shared = step == 0 || step == 18;
            const double expected = tabulated[step <= 9 ? step : 18 - step];
            if (shared && p.orbit == Orbit::vertical)
                EXPECT_EQ(p.weight, 0);
            else
                EXPECT_NEAR(p.weight, expected * (shared ? 4 : 1), shared ? 4e-9 : 1e-9) << p.angleDeg;
        }
}

TEST(TwoOrbitSet, OneAxisMeasuresTheVerticalOrbitOnItsSideAndTheAxisTwice) {
    const AngleSet one = angleSet("two-orbits-10", false), two = angleSet("two-orbits-10", true);
    for (const double angle : {0.0, 180.0}) {
        EXPECT_EQ(find(one, Orbit::horizontal, angle)->stance, Stance::upright);
        EXPECT_EQ(find(one, Orbit::vertical, angle)->stance, Stance::onSide);
        EXPECT_EQ(find(two, Orbit::vertical, angle), nullptr);
    }
    EXPECT_EQ(find(two, Orbit::vertical, 100)->stance, Stance::upright);
    EXPECT_EQ(find(two, Orbit::vertical, 100)->direction.azimuthDeg, 180);
    EXPECT_EQ(find(two, Orbit::vertical, 100)->direction.elevationDeg, 80);
}

TEST(SphereSet, HoldsEachPoleOnceAndBothOrbits) {
    const AngleSet set = angleSet("sphere-10", true);
    for (const double elevation : {-90.0, 90.0})
        EXPECT_EQ(std::count_if(set.positions.begin(), set.positions.end(),
                                [&](const auto& p) { return p.direction.elevationDeg == elevation; }),
                  1);
    for (const double angle : orbitAngles(10)) {
        EXPECT_NE(find(set, Orbit::horizontal, angle), nullptr) << angle;
        if (angle != 0 && angle != 180) {
            EXPECT_NE(find(set, Orbit::vertical, angle), nullptr) << angle;
        }
    }
}

TEST(AngleSet, UnknownNamesSuggestTheNearest) {
    const auto say = [](const std::string& name, bool hasTilt) {
        return refusal([&] { angleSet(name, hasTilt); }, ErrorKind::usage);
    };
    EXPECT_EQ(say("two-orbit-10", false),
              "angles: 'two-orbit-10' is no angle set. Did you mean 'two-orbits-10'? Known are on-axis, "
              "horizontal-10, two-orbits-10, two-orbits-5, two-orbits-2, sphere-10, sphere-5");
    for (const char* name :
         {"horizontal-7", "horizontal-0", "horizontal-180", "horizontal-", "horizontal--10", "horizontal-010",
          "horizontal-10.0", "horizontal-99999999999999999999"})
        EXPECT_NE(say(name, false).find("divides 180"), std::string::npos) << name;
    for (const char* name : {"", "sphere-2", "two-orbits-7", "Two-Orbits-10", "on-axis ", "sphere"})
        EXPECT_NE(say(name, true).find("is no angle set"), std::string::npos) << name;
    EXPECT_EQ(
        say("sphere-10", false),
        "angles: sphere-10 needs a table with a tilt axis: one axis reaches the two orbits only. Choose "
        "two-orbits-10, or state that the table has a tilt axis");
}

TEST(FirstAlike, AgreesWithComparingAllPairs) {
    const std::uint64_t seed = std::random_device{}();
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937_64 random(seed);
    std::vector<Direction> directions;
    for (int i = 0; i < 400; ++i)
        directions.push_back(direction(20.0 * static_cast<double>(random() % 18) + (random() % 2 ? 0.002 : 0),
                                       -90 + 20.0 * static_cast<double>(random() % 10)));
    std::vector<std::size_t> expected;
    for (std::size_t i = 0; i < directions.size(); ++i) {
        std::size_t k = 0;
        while (!sameDirection(directions[k], directions[i])) ++k;
        expected.push_back(k);
    }
    EXPECT_EQ(firstAlike(directions), expected);
}

AngleSet csv(const std::string& text, bool hasTilt = false) {
    return angleSetFromCsv(text, "a.csv", hasTilt);
}

TEST(AngleSetCsv, ReadsOrbitsAndDirections) {
    const AngleSet orbits = csv("orbit,angle_deg\n# the axis\nhorizontal,0\nhorizontal,330\nvertical,10\n");
    ASSERT_EQ(orbits.positions.size(), 3U);
    EXPECT_EQ(orbits.name, "a.csv");
    EXPECT_EQ(orbits.positions[1].angleDeg, -30);
    EXPECT_EQ(orbits.positions[2].stance, Stance::onSide);
    EXPECT_NEAR(orbits.positions[0].weight, 1.0 / 3, 1e-15);
    const AngleSet sphere = csv("azimuth_deg,elevation_deg,weight\n0,0,1\n30,20,3\n180,80,0\n", true);
    EXPECT_EQ(sphere.positions[0].orbit, Orbit::horizontal);
    EXPECT_FALSE(sphere.positions[1].orbit);
    EXPECT_EQ(sphere.positions[2].orbit, Orbit::vertical);
    EXPECT_EQ(sphere.positions[2].angleDeg, 100);
    EXPECT_EQ(sphere.positions[2].stance, Stance::upright);
    EXPECT_EQ(sphere.positions[1].weight, 0.75);
}

TEST(AngleSetCsv, TheSameDirectionMayStandInTwoStances) {
    EXPECT_EQ(directionCount(csv("orbit,angle_deg\nhorizontal,0\nvertical,0\n")), 1U);
}

TEST(AngleSetCsv, StatesTheOrderOfItsWeights) {
    EXPECT_EQ(csv("azimuth_deg,elevation_deg\n0,0\n90,0\n180,0\n-90,0\n0,90\n0,-90\n", true).quadrature,
              "each position counts alike: exact up to order 3 of spherical harmonics; beyond, its error is "
              "not known");
    std::string text = "azimuth_deg,elevation_deg,weight\n";
    for (const auto& p : angleSet("sphere-5", true).positions)
        text += std::to_string(p.direction.azimuthDeg) + "," + std::to_string(p.direction.elevationDeg) +
                "," + std::to_string(1e6 * p.weight) + "\n";
    EXPECT_NE(csv(text, true).quadrature.find("weights of the file: exact up to order 37"), std::string::npos)
        << csv(text, true).quadrature;
}

TEST(AngleSetCsv, RefusesWhatIsNoSet) {
    const auto say = [](const std::string& text, bool hasTilt = false) {
        return refusal([&] { csv(text, hasTilt); }, ErrorKind::input);
    };
    EXPECT_EQ(say("orbit,angle_deg\nhorizontal,0\nhorizontal,360\n"),
              "a.csv, line 3: horizontal:0 is listed already in line 2. Keep one of the two");
    EXPECT_EQ(
        say("orbit,angle_deg,azimuth_deg\nhorizontal,0,0\n"),
        "a.csv, line 1: columns for orbits and for directions are mixed. Give either orbit and angle_deg, "
        "or azimuth_deg and elevation_deg");
    EXPECT_NE(say("azimuth_deg,elevation_deg\n30,20\n").find("off both orbits"), std::string::npos);
    EXPECT_NE(say("orbit,angle_deg\n").find("lists 0 positions"), std::string::npos);
    EXPECT_NE(say("orbit,angel_deg\nhorizontal,0\n").find("angle_deg"), std::string::npos);
    EXPECT_NE(say("orbit,angle_deg,wieght\nhorizontal,0,1\n").find("weight"), std::string::npos);
    EXPECT_NE(say("orbit,angle_deg,weight\nhorizontal,0,0\n").find("all weights are zero"),
              std::string::npos);
    EXPECT_NE(say("orbit,angle_deg,weight\nhorizontal,0,-1\n").find("line 2"), std::string::npos);
    EXPECT_NE(say("orbit,angle_deg\nhorizontal,nan\n").find("angle_deg"), std::string::npos);
    EXPECT_NE(say("azimuth_deg,elevation_deg\n0,91\n", true).find("elevation_deg"), std::string::npos);
    EXPECT_NE(say("").find("a.csv"), std::string::npos);
    std::string many = "azimuth_deg,elevation_deg\n";
    for (int i = 0; i < 20001; ++i) many += std::to_string(0.015 * i) + ",1\n";
    EXPECT_NE(say(many, true).find("lists 20001 positions"), std::string::npos);
}

}  // namespace
}  // namespace volvelle
