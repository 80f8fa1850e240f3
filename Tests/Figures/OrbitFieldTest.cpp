#include "Figures/Contour.h"
#include "Figures/OrbitField.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>

namespace volvelle {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

DirectivityMap mapOf(const std::vector<double>& angles, double (*level)(double)) {
    DirectivityMap map;
    map.angleDeg = angles;
    for (const double a : angles)
        map.levelDb.push_back({static_cast<float>(level(a)), static_cast<float>(level(a) + 3)});
    return map;
}

std::vector<double> everyTen() {
    std::vector<double> angles;
    for (int a = -170; a <= 180; a += 10) angles.push_back(a);
    return angles;
}

double cosine(double a) {
    return 80 + 10 * std::cos(a * std::numbers::pi / 180);
}

TEST(MonotoneCubic, passesThroughItsPointsAndNeverLeavesTheirRange) {
    for (unsigned seed = 0; seed < 500; ++seed) {
        std::mt19937 random(seed);
        std::uniform_real_distribution<double> value(-40, 10), step(1, 10);
        std::vector<double> x{0}, y{value(random)};
        for (int i = 0; i < 12; ++i) {
            x.push_back(x.back() + step(random));
            y.push_back(value(random));
        }
        EXPECT_EQ(monotoneCubic(x, {y}, x, 100).size(), x.size());
        const auto atPoints = monotoneCubic(x, y, x, 100);
        for (std::size_t i = 0; i < x.size(); ++i) EXPECT_NEAR(atPoints[i], y[i], 1e-9) << "seed " << seed;
        for (std::size_t i = 1; i < x.size(); ++i) {
            for (const double t : {0.1, 0.35, 0.6, 0.9}) {
                const double v = monotoneCubic(x, y, {x[i - 1] + t * (x[i] - x[i - 1])}, 100)[0];
                EXPECT_GE(v, std::min(y[i - 1], y[i]) - 1e-9) << "seed " << seed;
                EXPECT_LE(v, std::max(y[i - 1], y[i]) + 1e-9) << "seed " << seed;
            }
        }
    }
}

TEST(MonotoneCubic, aStraightLineStaysOneAndGapsStayOpen) {
    EXPECT_NEAR(monotoneCubic({0, 1, 3, 4}, {0, 2, 6, 8}, {2.2}, 10)[0], 4.4, 1e-12);
    EXPECT_TRUE(std::isnan(monotoneCubic({0, 1, 9, 10}, {0, 2, 6, 8}, {5}, 3)[0]));
    EXPECT_TRUE(std::isnan(monotoneCubic({0, 1}, {0, 2}, {-0.5}, 3)[0]));
    EXPECT_NEAR(monotoneCubic({0, 1, 2}, {0, nan, 4}, {1}, 3)[0], 2, 1e-12);
}

TEST(OrbitField, theAxisIsZeroAndLevelsAreRelativeToIt) {
    const OrbitField field({100, 200}, mapOf(everyTen(), cosine));
    EXPECT_EQ(field.reference(), OrbitField::Reference::axis);
    EXPECT_NEAR(field.ring({0}, 1)[0], 0, 1e-12);
    EXPECT_NEAR(field.ring({180}, 0)[0], -20, 1e-12);
    EXPECT_NEAR(field.ring({-180}, 0)[0], -20, 1e-12);
    EXPECT_NEAR(field.ring({90}, 0)[0], -10, 1e-9);
    EXPECT_NEAR(field.ring({35}, 0)[0], cosine(35) - 90, 0.02);
}

TEST(OrbitField, theCircleIsClosedAt180) {
    auto angles = everyTen();
    angles.pop_back();  // 180° missing: between -170° and 170° is one step of 20°, which is no gap
    const OrbitField field({100, 200}, mapOf(angles, cosine));
    const double held = double{static_cast<float>(cosine(170))} - 90;  // as maps keep levels
    EXPECT_NEAR(field.ring({179}, 0)[0], held, 1e-9);  // between equal neighbours nothing is invented
    EXPECT_NEAR(field.ring({-175}, 0)[0], held, 1e-9);
}

TEST(OrbitField, halfAnOrbitStaysHalf) {
    std::vector<double> angles;
    for (int a = 0; a <= 180; a += 10) angles.push_back(a);
    const OrbitField field({100, 200}, mapOf(angles, cosine));
    EXPECT_TRUE(std::isnan(field.ring({-90}, 0)[0]));
    EXPECT_FALSE(std::isnan(field.ring({90}, 0)[0]));
}

TEST(OrbitField, withoutTheAxisTheLargestIsZero) {
    auto angles = everyTen();
    std::erase(angles, 0.0);
    const OrbitField field({100, 200}, mapOf(angles, cosine));
    EXPECT_EQ(field.reference(), OrbitField::Reference::largest);
    EXPECT_NEAR(field.ring({10}, 0)[0], 0, 1e-12);
}

TEST(ContourLines, ofADistanceAreCircles) {
    std::vector<double> grid;
    for (int i = -20; i <= 20; ++i) grid.push_back(i);
    std::vector<std::vector<double>> values;
    for (const double y : grid) {
        values.emplace_back();
        for (const double x : grid) values.back().push_back(std::hypot(x, y));
    }
    const auto lines = contourLines(grid, grid, values, 12.3);
    ASSERT_EQ(lines.size(), 1u);
    for (const Point& p : lines[0]) EXPECT_NEAR(std::hypot(p.x, p.y), 12.3, 0.02);
    EXPECT_NEAR(lines[0].front().x, lines[0].back().x, 1e-12);  // closed
    EXPECT_NEAR(lines[0].front().y, lines[0].back().y, 1e-12);
}

TEST(ContourLines, ofASlopeIsOneStraightLineThatStopsAtGaps) {
    std::vector<std::vector<double>> values(5, {0, 1, 2, 3});
    EXPECT_EQ(contourLines({0, 1, 2, 3}, {0, 1, 2, 3, 4}, values, 1.5).size(), 1u);
    values[2][1] = nan;
    const auto cut = contourLines({0, 1, 2, 3}, {0, 1, 2, 3, 4}, values, 1.5);
    ASSERT_EQ(cut.size(), 2u);
    for (const auto& line : cut) {
        for (const Point& p : line) EXPECT_DOUBLE_EQ(p.x, 1.5);
    }
}

}  // namespace
}  // namespace volvelle
