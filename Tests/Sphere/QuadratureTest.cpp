#include "Sphere/AngleSet.h"
#include "Sphere/Quadrature.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <functional>

namespace volvelle {
namespace {

struct Weighted {
    std::vector<Direction> directions;
    std::vector<double> weights;
};

Weighted partsOf(const AngleSet& set) {
    Weighted parts;
    for (const auto& p : set.positions) {
        parts.directions.push_back(p.direction);
        parts.weights.push_back(p.weight);
    }
    return parts;
}

/// The oracle: the C++ library's spherical Legendre functions, one harmonic at a time. Largest magnitude of
/// the weighted sum of sqrt(4π) Y_nm over m.
double largestSum(const Weighted& parts, unsigned n) {
    double largest = 0;
    for (unsigned m = 0; m <= n; ++m) {
        std::complex<double> sum = 0;
        for (std::size_t i = 0; i < parts.weights.size(); ++i) {
            const double polar = (90 - parts.directions[i].elevationDeg) * M_PI / 180;
            const double turn = parts.directions[i].azimuthDeg * M_PI / 180;
            sum +=
                parts.weights[i] * std::sqrt(4 * M_PI) * std::sph_legendre(n, m, polar) * std::polar(1.0, m * turn);
        }
        largest = std::max(largest, std::abs(sum));
    }
    return largest;
}

TEST(SphereSets, IntegrateHarmonicsExactlyUpToTheOrderTheyState) {
    const std::pair<const char*, unsigned> stated[] = {{"sphere-10", 19}, {"sphere-5", 37}};
    for (const auto& [name, order] : stated) {
        const AngleSet set = angleSet(name, true);
        const Weighted parts = partsOf(set);
        EXPECT_NEAR(largestSum(parts, 0), 1, 1e-13);
        for (unsigned n = 1; n <= order; ++n)
            EXPECT_LT(largestSum(parts, n), 1e-12) << name << " order " << n;
        EXPECT_GT(largestSum(parts, order + 1), 1e-4) << name;
        EXPECT_NE(set.quadrature.find("exact up to order " + std::to_string(order) + ";"), std::string::npos)
            << set.quadrature;
    }
}

TEST(TwoOrbitSets, IntegrateNoMoreThanOrderOne) {
    for (const char* name : {"two-orbits-10", "two-orbits-5", "two-orbits-2"})
        for (const bool hasTilt : {false, true}) {
            const Weighted parts = partsOf(angleSet(name, hasTilt));
            EXPECT_NEAR(largestSum(parts, 0), 1, 1e-13);
            EXPECT_LT(largestSum(parts, 1), 1e-13);
            EXPECT_GT(largestSum(parts, 2), 0.01);
            EXPECT_EQ(exactOrder(parts.directions, parts.weights, 10), 1);
        }
}

TEST(ExactOrder, AgreesWithTheLibrarysHarmonics) {
    EXPECT_EQ(exactOrder(partsOf(angleSet("sphere-10", true)).directions,
                         partsOf(angleSet("sphere-10", true)).weights, 30),
              19);
    EXPECT_EQ(exactOrder(partsOf(angleSet("sphere-5", true)).directions,
                         partsOf(angleSet("sphere-5", true)).weights, 50),
              37);
    EXPECT_EQ(exactOrder(partsOf(angleSet("sphere-5", true)).directions,
                         partsOf(angleSet("sphere-5", true)).weights, 12),
              12);
    EXPECT_EQ(exactOrder(partsOf(angleSet("on-axis", false)).directions, std::vector<double>{1.0}, 5), 0);
    EXPECT_EQ(exactOrder(partsOf(angleSet("on-axis", false)).directions, std::vector<double>{0.5}, 5), -1);
}

// The corners of an octahedron form a design of order 3, those of an icosahedron of order 5: Delsarte,
// Goethals & Seidel, Geometriae Dedicata 6 (1977).
TEST(ExactOrder, FindsTheOrderOfPlatonicBodies) {
    std::vector<Direction> octahedron{{0, 0}, {90, 0}, {180, 0}, {-90, 0}, {0, 90}, {0, -90}};
    EXPECT_EQ(exactOrder(octahedron, std::vector<double>(6, 1.0 / 6), 20), 3);
    std::vector<Direction> icosahedron{{0, 90}, {0, -90}};
    const double up = std::atan(0.5) * 180 / M_PI;
    for (int i = 0; i < 5; ++i) {
        icosahedron.push_back(direction(72.0 * i, up));
        icosahedron.push_back(direction(72.0 * i + 36, -up));
    }
    EXPECT_EQ(exactOrder(icosahedron, std::vector<double>(12, 1.0 / 12), 20), 5);
}

// Directivity indices in closed form: any acoustics handbook.
TEST(SphereSets, GiveTheDirectivityIndicesOfTheHandbooks) {
    const std::pair<std::function<double(double)>, double> patterns[] = {
        {[](double) { return 1.0; }, 0},
        {[](double c) { return c; }, 10 * std::log10(3.0)},
        {[](double c) { return 0.5 + 0.5 * c; }, 10 * std::log10(3.0)},
        {[](double c) { return 0.25 + 0.75 * c; }, 10 * std::log10(4.0)}};
    const double handbook[] = {0, 4.771, 4.771, 6.021};
    for (const char* name : {"sphere-10", "sphere-5"})
        for (std::size_t i = 0; i < 4; ++i) {
            const auto& [pattern, closedDb] = patterns[i];
            double mean = 0;
            for (const auto& p : angleSet(name, true).positions)
                mean += p.weight * std::pow(pattern(unitVector(p.direction)[0]), 2);
            EXPECT_NEAR(-10 * std::log10(mean), closedDb, 1e-12) << name;
            EXPECT_NEAR(closedDb, handbook[i], 5e-4);
        }
}

TEST(RingWeights, ArePositiveMirroredAndAddUpToOne) {
    for (const std::size_t n : {2U, 4U, 18U, 36U, 90U}) {
        const auto weights = ringWeights(n);
        double sum = 0;
        for (std::size_t i = 0; i <= n; ++i) {
            EXPECT_GT(weights[i], 0);
            EXPECT_NEAR(weights[i], weights[n - i], 1e-15);
            sum += weights[i];
        }
        EXPECT_NEAR(sum, 1, 1e-14);
    }
    // Three nodes: Simpson's rule.
    EXPECT_NEAR(ringWeights(2)[0], 1.0 / 6, 1e-15);
    EXPECT_NEAR(ringWeights(2)[1], 4.0 / 6, 1e-15);
    EXPECT_THROW(ringWeights(3), Error);
}

}  // namespace
}  // namespace volvelle
