#include "Families/Beamwidth.h"
#include "Sphere/AngleSet.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <vector>

namespace volvelle {
namespace {

double widthOf(double stepDeg, const std::function<double(double radians)>& pattern) {
    const auto angles = orbitAngles(stepDeg);
    std::vector<double> levels;
    for (const double a : angles)
        levels.push_back(20 * std::log10(std::max(1e-6, std::abs(pattern(a * M_PI / 180)))));
    return beamwidthDeg(angles, levels);
}

double dipole(double t) {
    return std::cos(t);
}

// cos θ is 6.02 dB down at 60°; 6 dB, 10^(-6/20), at 59.93°: width 119.85°. Linear in dB between measured
// angles.
TEST(Beamwidth, OfADipoleIsTwice60Degrees) {
    const double exact = 2 * std::acos(std::pow(10, -6.0 / 20)) * 180 / M_PI;
    EXPECT_NEAR(exact, 119.85, 0.01);
    EXPECT_NEAR(widthOf(1, dipole), exact, 0.02);
    EXPECT_NEAR(widthOf(10, dipole), exact, 0.1);
}

// Cardioid: (1 + cos θ) / 2 = 10^(-6/20) at 89.7°.
TEST(Beamwidth, OfACardioidIsTwice90Degrees) {
    const auto cardioid = [](double t) { return 0.5 + 0.5 * std::cos(t); };
    EXPECT_NEAR(widthOf(2, cardioid), 2 * std::acos(2 * std::pow(10, -0.3) - 1) * 180 / M_PI, 0.02);
}

TEST(Beamwidth, IsNeverReachedByAMonopoleAndByABeamOpenOnOneSide) {
    EXPECT_EQ(widthOf(10, [](double) { return 1.0; }), std::numeric_limits<double>::infinity());
    // Falls to the left only; on the way round to the right it is not met before 180°.
    EXPECT_EQ(widthOf(10, [](double t) { return t > 0 && t < 3 ? std::exp(-t) : 1.0; }),
              std::numeric_limits<double>::infinity());
}

TEST(Beamwidth, AddsUpBothSidesAndIsLinearInDecibelsBetweenAngles) {
    const std::vector<double> angles{-30, -10, 0, 10, 20, 180};
    const std::vector<double> levels{-9, -3, 1, -2, -8, -20};
    // Limit -5 dB: to the right at 10 + 10 · 3/6, to the left at 10 + 20 · 2/6.
    EXPECT_NEAR(beamwidthDeg(angles, levels), 15 + (10 + 20.0 / 3), 1e-12);
}

TEST(Beamwidth, MayEndAt180WhichIsTheEndOfBothSides) {
    const std::vector<double> angles{-90, 0, 90, 180}, levels{-3, 0, -3, -9};
    EXPECT_NEAR(beamwidthDeg(angles, levels), 2 * 135, 1e-12);
}

TEST(Beamwidth, IsNotKnownWithoutTheAxisOrBehindAGap) {
    const double unknown = std::numeric_limits<double>::quiet_NaN();
    EXPECT_TRUE(std::isnan(beamwidthDeg(std::vector<double>{-10, 10}, std::vector<double>{0, 0})));
    EXPECT_TRUE(
        std::isnan(beamwidthDeg(std::vector<double>{-10, 0, 10}, std::vector<double>{-9, unknown, -9})));
    EXPECT_TRUE(std::isnan(
        beamwidthDeg(std::vector<double>{-10, 0, 10, 20}, std::vector<double>{-9, 0, unknown, -9})));
    EXPECT_NEAR(beamwidthDeg(std::vector<double>{-20, -10, 0, 10}, std::vector<double>{unknown, -6, 0, -6}),
                20, 1e-12);
}

TEST(Beamwidth, IsNotKnownWhereMeasuringEndedBeforeThePoint) {
    EXPECT_TRUE(std::isnan(beamwidthDeg(std::vector<double>{0}, std::vector<double>{0})));
    EXPECT_TRUE(std::isnan(beamwidthDeg(std::vector<double>{-90, 0, 90}, std::vector<double>{-3, 0, -3})));
    EXPECT_TRUE(std::isnan(beamwidthDeg(std::vector<double>{-90, 0, 90}, std::vector<double>{-9, 0, -3})));
}

TEST(Beamwidth, IsNotKnownBehindAStepThatIsTooWide) {
    const std::vector<double> angles{-30, -10, 0, 10, 20, 180}, levels{-9, -3, 1, -2, -8, -20};
    EXPECT_TRUE(std::isnan(beamwidthDeg(angles, levels, widestStepDeg(angles))));
    EXPECT_TRUE(std::isnan(beamwidthDeg(angles, levels, 10)));
    EXPECT_FALSE(std::isnan(beamwidthDeg(angles, levels, 20)));
}

TEST(WidestStep, IsTheOrbitsUsualOneAndAtLeast10Degrees) {
    EXPECT_NEAR(widestStepDeg(orbitAngles(2)), 10, 0.02);
    EXPECT_NEAR(widestStepDeg(orbitAngles(10)), 10, 0.02);
    EXPECT_NEAR(widestStepDeg(orbitAngles(15)), 15, 0.02);
    EXPECT_NEAR(widestStepDeg(std::vector<double>{0}), 10, 0.02);
}

}  // namespace
}  // namespace volvelle
