#include "Run/Capture.h"
#include "Sections/InteractionFloor.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <complex>
#include <numbers>

namespace volvelle {
namespace {

constexpr double pi = std::numbers::pi;

TEST(InteractionFloor, OfNothingKnownIsNothing) {
    const std::array<FloorShare, 1> unknown{{{1, notStated, notStated, notStated, notStated}}};
    EXPECT_EQ(floorPower(unknown), 0);
    EXPECT_EQ(floorPower({}), 0);
}

TEST(InteractionFloor, NoiseOfTheDrivesAddsAsPowers) {
    const std::array<FloorShare, 3> shares{{{1, 1e-6, notStated, notStated, 0},
                                            {4, 2e-6, notStated, notStated, 0},
                                            {9, 3e-6, notStated, notStated, 0}}};
    EXPECT_NEAR(floorPower(shares), 6e-6, 1e-18);
}

TEST(InteractionFloor, RepeatsHoldTheNoise) {
    const std::array<FloorShare, 1> more{{{1, 1e-6, 5e-6, notStated, 0}}},
        less{{{1, 1e-6, 1e-7, notStated, 0}}};
    EXPECT_DOUBLE_EQ(floorPower(more), 5e-6);
    EXPECT_DOUBLE_EQ(floorPower(less), 1e-6);
}

TEST(InteractionFloor, DriftIsRelativeToWhatDrifts) {
    const std::array<FloorShare, 1> shares{{{4, notStated, notStated, 1e-4, 0}}};
    EXPECT_DOUBLE_EQ(floorPower(shares), 4e-4);
}

TEST(InteractionFloor, DriftGrowsInProportionToTimeUpToAllOfIt) {
    EXPECT_DOUBLE_EQ(driftShare(1e-4, 0, 600), 0);
    EXPECT_DOUBLE_EQ(driftShare(1e-4, 60, 600), 1e-6);
    EXPECT_DOUBLE_EQ(driftShare(1e-4, -60, 600), 1e-6);
    EXPECT_DOUBLE_EQ(driftShare(1e-4, 6000, 600), 1e-4);
    EXPECT_DOUBLE_EQ(driftShare(1e-4, notStated, 600), 1e-4);
    EXPECT_DOUBLE_EQ(driftShare(1e-4, 60, notStated), 1e-4);
    EXPECT_DOUBLE_EQ(driftShare(1e-4, 0, 0), 1e-4);
    EXPECT_TRUE(std::isnan(driftShare(notStated, 1, 2)));
}

TEST(InteractionFloor, AirTurnsByTheChordOfItsPhase) {
    const auto chord = [](double phase) {
        const std::array<FloorShare, 1> shares{{{1, notStated, notStated, notStated, phase}}};
        return std::sqrt(floorPower(shares));
    };
    for (const double phase : {0.001, 0.1, 1.0, 3.0})
        EXPECT_NEAR(chord(phase), std::abs(std::polar(1.0, phase) - 1.0), 1e-12);
    EXPECT_NEAR(chord(0.01), 0.01, 1e-6);  // small: the phase itself
    EXPECT_DOUBLE_EQ(chord(17), 2);        // at most opposite
}

// One kelvin over 2 m is 9.9 µs, 36° at 10 kHz: c = 343.2 m/s at 20 °C and c ∝ √T (ISO 9613-1:1993).
TEST(InteractionFloor, OneKelvinOverTwoMetresIsTenMicroseconds) {
    const double phase = airPhase(10000, 2, 20.5, 19.5);
    EXPECT_NEAR(phase / (2 * pi * 10000) * 1e6, 9.94, 0.005);
    EXPECT_NEAR(phase * 180 / pi, 36, 0.3);
    const auto flight = [](double celsius) { return 2 / (343.2 * std::sqrt((celsius + 273.15) / 293.15)); };
    const double nextTerm = 5.0 / 32 * std::pow(1 / 293.15, 2);  // of the series in ΔT/T, relative
    EXPECT_NEAR(phase / (2 * pi * 10000 * (flight(19.5) - flight(20.5))), 1, 1.01 * nextTerm);
    EXPECT_TRUE(std::isnan(airPhase(10000, 2, notStated, 20)));
    EXPECT_EQ(airPhase(10000, 2, 20, 20), 0);
}

}  // namespace
}  // namespace volvelle
