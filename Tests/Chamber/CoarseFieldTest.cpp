#include "Chamber/CoarseField.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace volvelle {
namespace {

constexpr double c = 343.2, rho = 1.2041;

/// Largest error relative to the field itself, in the loudest direction and in the shadow.
double errorOf(double radiusM, double distanceM, double halfAngleDeg, double highestHz, double stepHz) {
    const RigidSphere sphere{radiusM, c, rho};
    const CoarseField coarse(sphere, highestHz, distanceM);
    const Cap cap{{0, 0}, halfAngleDeg};
    std::vector<double> frequencies{0.3, 5, 29};
    for (double f = 51.7; f < highestHz; f += stepHz) frequencies.push_back(f);
    const SphereField exact(sphere, frequencies, distanceM);
    double largest = 0;
    for (const double angle : {0.0, 30.0, 90.0, 137.0, 180.0}) {
        const auto samples = coarse.samples(cap, {angle, 0}, {});
        const auto expected = exact.pressure(cap, {angle, 0});
        for (std::size_t i = 0; i < frequencies.size(); ++i) {
            const std::complex<double> omega(0, 2 * M_PI * frequencies[i]);
            const double error = std::abs(coarse.at(samples, frequencies[i]) * omega - expected[i]);
            if (!(error <= largest * std::abs(expected[i]))) largest = error / std::abs(expected[i]);
        }
    }
    return largest;
}

// The oracle is the series of Morse & Ingard evaluated at each frequency (Modules/Acoustics, which is itself
// held against Datasets/oracle/caps.csv).
TEST(CoarseField, IsTheExactFieldAtAnyFrequencyToOneInAHundredMillion) {
    for (const double radiusM : {0.05, 0.15, 0.3})
        for (const double distanceM : {0.5, 2.0})
            for (const double halfAngleDeg : {10.0, 24.0, 60.0}) {
                const double errors = errorOf(radiusM, distanceM, halfAngleDeg, 24000, 37.3);
                EXPECT_LT(errors, 1e-8) << radiusM << " m at " << distanceM << " m, " << halfAngleDeg;
            }
}

TEST(CoarseField, HoldsAtTwiceTheRateToo) {
    const double errors = errorOf(0.15, 2, 24, 48000, 171.3);
    EXPECT_LT(errors, 1e-8);
}

TEST(CoarseField, TenPointsGiveAnyPolynomialOfNinthDegreeExactly) {
    for (const double part : {0.0, 0.25, 0.5, 0.999}) {
        std::array<double, TenPoints::count> weights;
        TenPoints::weights(part, weights);
        for (int power = 0; power <= 9; ++power) {
            double sum = 0;
            for (std::size_t i = 0; i < weights.size(); ++i)
                sum += weights[i] * std::pow((static_cast<double>(i) - TenPoints::before) / 5, power);
            EXPECT_NEAR(sum, std::pow(part / 5, power), 1e-13) << part << " to the power " << power;
        }
    }
}

}  // namespace
}  // namespace volvelle
