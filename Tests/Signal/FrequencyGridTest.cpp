#include "Signal/FrequencyGrid.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace volvelle {
namespace {

TEST(LogarithmicGrid, GoesFromLowToHighInEqualStepsOfAnOctave) {
    const auto grid = logarithmicGrid(20, 20000, 48);
    ASSERT_EQ(grid.size(), 479u);  // floor(48 log2(1000)) + 1
    EXPECT_EQ(grid.front(), 20);
    EXPECT_LE(grid.back(), 20000);
    for (std::size_t i = 1; i < grid.size(); ++i) EXPECT_NEAR(std::pow(grid[i] / grid[i - 1], 48), 2, 1e-10);
    const auto octaves = logarithmicGrid(31.25, 16000, 1);
    ASSERT_EQ(octaves.size(), 10u);  // the end belongs to it
    EXPECT_NEAR(octaves.back(), 16000, 1e-9);
    EXPECT_THROW(logarithmicGrid(0, 10, 3), Error);
    EXPECT_THROW(logarithmicGrid(20, 10, 3), Error);
    EXPECT_THROW(logarithmicGrid(20, 100, 0), Error);
}

// IEC 61260-1:2014, base-ten octaves G = 10^(3/10) about 1 kHz: odd b f = 1000 G^(n/b), even b f = 1000
// G^((2n+1)/(2b)).
TEST(BandCentres, AreThoseOfIec61260) {
    const double g = std::pow(10, 0.3);
    for (const int b : {1, 2, 3, 6, 12, 24, 48}) {
        const auto centres = bandCentres(20, 20000, b);
        std::vector<double> expected;
        for (int n = -1000; n < 1000; ++n) {
            const double f =
                1000 * (b % 2 != 0 ? std::pow(g, double(n) / b) : std::pow(g, (2.0 * n + 1) / (2 * b)));
            if (f >= 20 / 1.02 && f <= 20000 * 1.02) expected.push_back(f);
        }
        ASSERT_EQ(centres.size(), expected.size()) << b;
        for (std::size_t i = 0; i < expected.size(); ++i) EXPECT_NEAR(centres[i] / expected[i], 1, 1e-12);
    }
}

// Exact third-octave centres of IEC 61260-1:2014 Table E.1 (memory), to five digits, beside their nominal
// names.
TEST(BandCentres, OfThirdOctavesLieWhereTheTableOfTheStandardPutsThem) {
    const double table[][2] = {
        {20, 19.953},   {25, 25.119},   {31.5, 31.623}, {40, 39.811},     {50, 50.119},    {63, 63.096},
        {80, 79.433},   {100, 100.00},  {125, 125.89},  {160, 158.49},    {200, 199.53},   {250, 251.19},
        {315, 316.23},  {400, 398.11},  {500, 501.19},  {630, 630.96},    {800, 794.33},   {1000, 1000.0},
        {1250, 1258.9}, {1600, 1584.9}, {2000, 1995.3}, {2500, 2511.9},   {3150, 3162.3},  {4000, 3981.1},
        {5000, 5011.9}, {6300, 6309.6}, {8000, 7943.3}, {10000, 10000.0}, {12500, 12589.}, {16000, 15849.},
        {20000, 19953.}};
    const auto centres = bandCentres(20, 20000, 3);
    ASSERT_EQ(centres.size(), std::size(table));
    for (std::size_t i = 0; i < centres.size(); ++i) {
        EXPECT_NEAR(centres[i] / table[i][1], 1, 3e-5);
        EXPECT_NEAR(centres[i] / table[i][0], 1, 0.02);
    }
}

TEST(BandCentres, OfHalfOctavesLieBesideOneKilohertzNotOnIt) {
    const auto centres = bandCentres(800, 1300, 2);
    ASSERT_EQ(centres.size(), 2u);
    EXPECT_NEAR(centres[0] * centres[1], 1e6, 1e-6);
    EXPECT_NEAR(centres[1], 1188.502227, 1e-6);  // 10^(3 + 3/40)
}

}  // namespace
}  // namespace volvelle
