#include "Quantities/Air.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>

namespace volvelle {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
const Air standard{20, 50, 101.325};

/// Exact octave centres, IEC 61260-1:2014, from 63 Hz: the frequencies that the tables of ISO 9613 are
/// computed for.
double octaveHz(std::size_t index) {
    return 1000 * std::pow(10, 0.3 * (static_cast<double>(index) - 4));
}

struct TableRow {
    double temperatureC, humidityPercent;
    std::array<double, 8> dbPerKm;  // 63 Hz ... 8 kHz
};

TEST(AirAbsorption, AgreesWithTheTableOfIso9613Part2) {
    // ISO 9613-2:1996 Table 2, 101.325 kPa.
    const TableRow rows[] = {{20, 70, {0.1, 0.3, 1.1, 2.8, 5.0, 9.0, 22.9, 76.6}},
                             {10, 70, {0.1, 0.4, 1.0, 1.9, 3.7, 9.7, 32.8, 117}},
                             // Other rows of the table, from memory.
                             {30, 70, {0.1, 0.3, 1.0, 3.1, 7.4, 12.7, 23.1, 59.3}},
                             {15, 20, {0.3, 0.6, 1.2, 2.7, 8.2, 28.2, 88.8, 202}},
                             {15, 50, {0.1, 0.5, 1.2, 2.2, 4.2, 10.8, 36.2, 129}}};
    for (const auto& row : rows)
        for (std::size_t i = 0; i < row.dbPerKm.size(); ++i) {
            const double computed =
                1000 * absorptionDbPerM({row.temperatureC, row.humidityPercent, 101.325}, octaveHz(i));
            const double rounding = row.dbPerKm[i] >= 100 ? 0.5 : 0.05;
            EXPECT_NEAR(computed, row.dbPerKm[i], rounding)
                << row.temperatureC << " °C, " << octaveHz(i) << " Hz";
        }
}

TEST(AirAbsorption, AgreesWithTheTablesOfIso9613Part1) {
    // ISO 9613-1:1993 Table 1, 20 °C, 50 %, in dB/km to three digits; from memory.
    struct {
        double nominalHz, dbPerKm, rounding;
    } const rows[] = {{250, 1.32, 0.005},  {500, 2.73, 0.005}, {1000, 4.66, 0.005},
                      {2000, 9.86, 0.005}, {4000, 29.4, 0.05}, {8000, 104, 0.5}};
    for (const auto& row : rows) {
        const double exactHz =
            octaveHz(static_cast<std::size_t>(std::lround(std::log2(row.nominalHz / 62.5))));
        EXPECT_NEAR(1000 * absorptionDbPerM(standard, exactHz), row.dbPerKm, row.rounding) << row.nominalHz;
    }
}

TEST(AirAbsorption, GrowsWithFrequencyAndVanishesAtZero) {
    EXPECT_EQ(absorptionDbPerM(standard, 0), 0);
    double before = 0;
    for (double f = 10; f < 1e5; f *= 1.1) {
        const double now = absorptionDbPerM(standard, f);
        EXPECT_GT(now, before) << f;
        before = now;
    }
}

TEST(AirAbsorption, ScalesWithPressure) {
    // A property of the formula: attenuation over pressure depends on frequency over pressure, at one molar
    // concentration of vapour.
    const double p = 0.8, f = 3000;
    const Air thin{20, 50 * p, 101.325 * p};
    EXPECT_NEAR(absorptionDbPerM(thin, f * p) / p, absorptionDbPerM(standard, f), 1e-12);
}

TEST(SpeedOfSound, AgreesWithIso9613Part1) {
    // 343.2 sqrt(T / 293.15 K); the rounded values are those of the standard's formula at 0, 10, 20, 30 °C.
    EXPECT_NEAR(speedOfSound({0, 50, 101.325}), 331.3, 0.05);
    EXPECT_NEAR(speedOfSound({10, 50, 101.325}), 337.3, 0.05);
    EXPECT_DOUBLE_EQ(speedOfSound(standard), 343.2);
    EXPECT_NEAR(speedOfSound({30, 50, 101.325}), 349.0, 0.05);
}

TEST(Density, IsThatOfAnIdealGas) {
    EXPECT_DOUBLE_EQ(density(standard), 1.2041);
    // 101325 Pa · 0.0289647 kg/mol / (8.31446 J/(mol K) · 273.15 K): gas constant and molar mass of dry air
    // of CODATA and ISO 2533.
    EXPECT_NEAR(density({0, 0, 101.325}), 101325 * 0.0289647 / (8.31446 * 273.15), 5e-4);
    EXPECT_NEAR(density({20, 50, 2 * 101.325}), 2 * 1.2041, 1e-12);
}

TEST(Air, WhatIsNotStatedStaysUnknown) {
    const Air unknown = Air::notStated();
    EXPECT_FALSE(unknown.isStated());
    EXPECT_TRUE(standard.isStated());
    EXPECT_FALSE((Air{20, nan, 101.325}).isStated());
    EXPECT_TRUE(std::isnan(speedOfSound(unknown)));
    EXPECT_TRUE(std::isnan(density(unknown)));
    EXPECT_TRUE(std::isnan(absorptionDbPerM(unknown, 1000)));
    EXPECT_TRUE(std::isnan(absorptionDbPerM({20, nan, 101.325}, 1000)));
    EXPECT_EQ(speedOfSound({20, nan, nan}), 343.2);
}

TEST(Air, ReferenceClimateIsThatOfIso3745) {
    const Air reference = referenceClimate();  // ISO 3745:2012: 23 °C, 50 %, 101.325 kPa
    EXPECT_EQ(reference.temperatureC, 23);
    EXPECT_EQ(reference.relativeHumidityPercent, 50);
    EXPECT_EQ(reference.pressureKPa, 101.325);
}

}  // namespace
}  // namespace volvelle
