#include "Sphere/AngleSet.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

namespace volvelle {
namespace {

/// ANSI/CTA-2034-A, Appendix C: weights of the curves of two orbits every 10°, from 0° to 90°; mirrored to
/// 180°. The last digit may have been rounded differently.
constexpr std::array<double, 10> tabulated = {0.000604486, 0.004730189, 0.008955027, 0.012387354,
                                              0.014989611, 0.016868154, 0.018165962, 0.019006744,
                                              0.019477787, 0.019629373};
constexpr double lastDigit = 1e-9;

TEST(SoundPowerWeights, AgreeWithTheTableOfCta2034AppendixC) {
    const auto weights = orbitWeights(10);
    ASSERT_EQ(weights.size(), 19u);
    for (std::size_t i = 0; i < weights.size(); ++i)
        EXPECT_NEAR(weights[i].weight, tabulated[i <= 9 ? i : 18 - i], lastDigit)
            << weights[i].angleDeg << " degrees";
}

TEST(SoundPowerWeights, OfTheTableAddUpToOneForFourHalfArcs) {
    double sum = tabulated[9];
    for (std::size_t i = 0; i < 9; ++i) sum += 2 * tabulated[i];
    EXPECT_NEAR(4 * sum, 1, 1e-7);
}

TEST(SoundPowerWeights, AreAreasOfRingsBetweenQuadrangles) {
    // S'(a) = 8 sin a / sqrt(1 + sin² a): the derivative of 4 asin(sin² a), integrated by Simpson's rule.
    const auto density = [](double a) { return 8 * std::sin(a) / std::sqrt(1 + std::sin(a) * std::sin(a)); };
    for (const double step : {10.0, 5.0, 2.0})
        for (const auto& [angle, weight] : orbitWeights(step)) {
            const double low = std::max(0.0, angle - step / 2) * M_PI / 180;
            const double high = std::min(180.0, angle + step / 2) * M_PI / 180;
            constexpr int n = 64;
            double sum = density(low) + density(high);
            for (int i = 1; i < n; ++i) sum += (i % 2 ? 4 : 2) * density(low + (high - low) * i / n);
            EXPECT_NEAR(weight, sum * (high - low) / (3 * n) / (16 * M_PI), 1e-11) << angle;
        }
}

}  // namespace
}  // namespace volvelle
