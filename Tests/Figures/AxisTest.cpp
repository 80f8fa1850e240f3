#include "Figures/Axis.h"
#include "Figures/LabelSpread.h"
#include "Figures/Words.h"

#include <gtest/gtest.h>

#include <random>

namespace volvelle {
namespace {

TEST(FrequencyAxis, aDecadeIsAsLongEverywhere) {
    const FrequencyAxis axis{60, 660, 20, 20000};
    EXPECT_DOUBLE_EQ(axis.x(20), 60);
    EXPECT_NEAR(axis.x(20000), 660, 1e-9);
    EXPECT_NEAR(axis.x(200), 260, 1e-9);
    EXPECT_NEAR(axis.x(2000), 460, 1e-9);
    EXPECT_NEAR(axis.decade(), 200, 1e-9);
}

TEST(FrequencyAxis, backAndForthIsTheSame) {
    const FrequencyAxis axis{13, 977, 20, 20000};
    for (double hz = 20; hz < 20000; hz *= 1.37) EXPECT_NEAR(axis.hzAt(axis.x(hz)) / hz, 1, 1e-12);
}

TEST(FrequencyAxis, labelsStandAtTheStandardFrequencies) {
    std::string all;
    for (const double hz : FrequencyAxis{0, 1, 20, 20000}.labels()) all += axisFrequency(hz) + '|';
    EXPECT_EQ(all, "20|50|100|200|500|1 k|2 k|5 k|10 k|20 k|");
    EXPECT_EQ((FrequencyAxis{0, 1, 20, 20000}.lines().size()),
              28u);  // 2 ... 9, three times 1 ... 9 less the rest: 8 + 9 + 9 + 2
}

TEST(LevelAxis, aKnownLevelLiesAtAKnownHeight) {
    const LevelAxis axis{100, 600, 40, 90};
    EXPECT_DOUBLE_EQ(axis.y(90), 100);
    EXPECT_DOUBLE_EQ(axis.y(40), 600);
    EXPECT_DOUBLE_EQ(axis.y(65), 350);
    EXPECT_DOUBLE_EQ(axis.valueAt(axis.y(71.3)), 71.3);
    EXPECT_EQ(axis.multiplesOf(10), (std::vector<double>{40, 50, 60, 70, 80, 90}));
}

TEST(RoundStep, dividesARangeIntoAboutThatManyParts) {
    for (double range = 0.01; range < 1e4; range *= 1.13) {
        const double parts = range / roundStep(range, 10);
        EXPECT_GT(parts, 3.9) << range;
        EXPECT_LT(parts, 14) << range;
    }
}

TEST(LabelSpread, labelsNeverOverlapAndStayInOrderAndInside) {
    for (unsigned seed = 0; seed < 2000; ++seed) {
        std::mt19937 random(seed);
        std::uniform_real_distribution<double> place(-50, 450), height(8, 30);
        std::vector<double> wished(random() % 9), heights;
        for (double& w : wished) {
            w = place(random);
            heights.push_back(height(random));
        }
        const auto centres = spreadLabels(wished, heights, 20, 380);
        for (std::size_t i = 0; i < wished.size(); ++i) {
            EXPECT_GE(centres[i] - heights[i] / 2, 20 - 1e-9) << "seed " << seed;
            EXPECT_LE(centres[i] + heights[i] / 2, 380 + 1e-9) << "seed " << seed;
            for (std::size_t j = 0; j < i; ++j) {
                EXPECT_GE(std::abs(centres[i] - centres[j]), (heights[i] + heights[j]) / 2 - 1e-9)
                    << "seed " << seed;
                EXPECT_TRUE(!(wished[i] < wished[j]) || centres[i] < centres[j]) << "seed " << seed;
            }
        }
    }
}

// Leaders run level from a curve's end to one abscissa and straight from there to another: they cross exactly
// where labels stand in another order than ends.
TEST(LabelSpread, labelsKeepTheOrderOfTheirEndsEvenWithoutRoomSoThatLeadersNeverCross) {
    for (unsigned seed = 0; seed < 2000; ++seed) {
        std::mt19937 random(seed);
        std::uniform_real_distribution<double> place(0, 100), height(8, 30);
        std::vector<double> wished(2 + random() % 9), heights;
        for (double& w : wished) {
            w = random() % 4 == 0 ? 50 : place(random);
            heights.push_back(height(random));
        }
        const auto centres = spreadLabels(wished, heights, 0, 100);
        for (std::size_t i = 0; i < wished.size(); ++i) {
            for (std::size_t j = 0; j < i; ++j)
                EXPECT_GE((wished[i] - wished[j]) * (centres[i] - centres[j]), 0) << "seed " << seed;
        }
    }
}

TEST(LabelSpread, labelsWithRoomStayWhereTheyAre) {
    EXPECT_EQ(spreadLabels({50, 100, 150}, {10, 10, 10}, 0, 200), (std::vector<double>{50, 100, 150}));
}

TEST(LabelSpread, twoAtOnePlacePartByHalfEach) {
    const auto centres = spreadLabels({100, 100}, {12, 12}, 0, 200);
    EXPECT_DOUBLE_EQ(centres[0], 94);
    EXPECT_DOUBLE_EQ(centres[1], 106);
}

TEST(Words, numbersArePrintedWithTheirUnitsAndATrueMinus) {
    EXPECT_EQ(hertz(83.24), "83.2 Hz");
    EXPECT_EQ(hertz(999.7), "1 kHz");
    EXPECT_EQ(hertz(12500), "12.5 kHz");
    EXPECT_EQ(hertz(std::nan("")), "not known");
    EXPECT_EQ(bandName(501.187), "500 Hz");  // 10^2.7: IEC 61260-1, nominal names of ISO 266
    EXPECT_EQ(bandName(31.6228), "31.5 Hz");
    EXPECT_EQ(bandName(15848.9), "16 kHz");
    EXPECT_EQ(bandName(4006), "4 kHz");
    EXPECT_EQ(bandName(505), "505 Hz");
    EXPECT_EQ(bandName(std::nan("")), "not known");
    EXPECT_EQ(milliseconds(-0.0012),
              "\xE2\x88\x92"
              "1.2 ms");
    EXPECT_EQ(signedDegrees(30), "+30\xC2\xB0");
    EXPECT_EQ(signedDegrees(-90),
              "\xE2\x88\x92"
              "90\xC2\xB0");
    EXPECT_EQ(signedDegrees(180), "180\xC2\xB0");
    EXPECT_EQ(signedDegrees(0), "0\xC2\xB0");
}

TEST(Words, whatCannotBeDrawnBecomesTheReplacementCharacter) {
    EXPECT_EQ(drawable("a\xC2\xB5"
                       "b"),
              "a\xC2\xB5"
              "b");
    EXPECT_EQ(drawable("a\x01\xFF"), "a\xEF\xBF\xBD\xEF\xBF\xBD");
    EXPECT_EQ(drawable("\xC0\x80"), "\xEF\xBF\xBD\xEF\xBF\xBD");                  // overlong NUL
    EXPECT_EQ(drawable("\xED\xA0\x80"), "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD");  // a lone surrogate
    EXPECT_EQ(drawable("\xE2\x88"), "\xEF\xBF\xBD\xEF\xBF\xBD");                  // cut
}

}  // namespace
}  // namespace volvelle
