#include "Sphere/AngleSet.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

/// Solid angle of {direction: |atan2(y, x)| and |atan2(z, x)| up to a} over the forward half space, by the
/// midpoint rule on the plane x = 1: dΩ = dy dz / (1 + y² + z²)^(3/2).
double integratedQuadrangle(double halfAngleDeg) {
    // With y = tan u, z = tan v: four great circles at the half-angle in the planes of the two orbits bound
    // the quadrangle.
    const double a = halfAngleDeg * M_PI / 180;
    constexpr int n = 2000;
    double sum = 0;
    for (int i = 0; i < n; ++i)
        for (int j = 0; j < n; ++j) {
            const double u = (i + 0.5) / n * a, v = (j + 0.5) / n * a;
            const double cu = std::cos(u), cv = std::cos(v), y = std::tan(u), z = std::tan(v);
            sum += 1 / (cu * cu * cv * cv * std::pow(1 + y * y + z * z, 1.5));
        }
    return 4 * sum * (a / n) * (a / n);
}

TEST(QuadrangleSolidAngle, AgreesWithNumericIntegrationOfTheSphericalQuadrangle) {
    for (const double a : {1.0, 5.0, 15.0, 30.0, 45.0, 60.0, 75.0})
        EXPECT_NEAR(quadrangleSolidAngle(a) / integratedQuadrangle(a), 1, 1e-6) << a;
}

TEST(QuadrangleSolidAngle, CoversHalfTheSphereAt90AndAllAt180) {
    EXPECT_EQ(quadrangleSolidAngle(0), 0);
    EXPECT_NEAR(quadrangleSolidAngle(90), 2 * M_PI, 1e-14);
    EXPECT_NEAR(quadrangleSolidAngle(180), 4 * M_PI, 1e-14);
    for (double a = 0; a <= 90; a += 0.5)
        EXPECT_NEAR(quadrangleSolidAngle(a) + quadrangleSolidAngle(180 - a), 4 * M_PI, 1e-13) << a;
    for (double a = 0; a <= 90; a += 0.5)
        EXPECT_NEAR(quadrangleSolidAngle(a), 4 * std::asin(std::pow(std::sin(a * M_PI / 180), 2)), 1e-7) << a;
}

TEST(OrbitWeights, AddUpToOneWithTheAxisCountedForEachHalfArc) {
    for (const double step : {10.0, 5.0, 2.0, 1.0, 2.5, 90.0}) {
        double sum = 0;
        for (const auto& entry : orbitWeights(step)) sum += 4 * entry.weight;
        EXPECT_NEAR(sum, 1, 1e-14) << step;
    }
}

TEST(OrbitWeights, ArePositiveMirroredAndGrowTowards90) {
    for (const double step : {10.0, 5.0, 2.0}) {
        const auto weights = orbitWeights(step);
        ASSERT_EQ(weights.size(), static_cast<std::size_t>(180 / step) + 1);
        for (std::size_t i = 0; i < weights.size(); ++i) {
            EXPECT_EQ(weights[i].angleDeg, step * static_cast<double>(i));
            EXPECT_NEAR(weights[i].weight, weights[weights.size() - 1 - i].weight, 1e-15);
            EXPECT_GT(weights[i].weight, 0);
            if (i > 0 && weights[i].angleDeg <= 90) {
                EXPECT_GT(weights[i].weight, weights[i - 1].weight);
            }
        }
    }
}

TEST(OrbitAngles, Hold36AnglesPerOrbitAtTenDegrees) {
    const auto angles = orbitAngles(10);
    ASSERT_EQ(angles.size(), 36u);
    EXPECT_EQ(angles.front(), -170);
    EXPECT_EQ(angles.back(), 180);
    EXPECT_EQ(angles[17], 0);
    EXPECT_EQ(orbitAngles(5).size(), 72u);
    EXPECT_EQ(orbitAngles(2).size(), 180u);
}

TEST(AngleSetStep, MustDivide180) {
    for (const double step : {0.0, -10.0, 7.0, std::nan(""), 400.0}) {
        EXPECT_THROW(orbitAngles(step), Error) << step;
        EXPECT_THROW(orbitWeights(step), Error) << step;
    }
}

}  // namespace
}  // namespace volvelle
