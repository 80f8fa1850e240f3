#include "Figures/ColourVision.h"
#include "Figures/Palette.h"

#include <gtest/gtest.h>

namespace volvelle {
namespace {

std::vector<Colour> levelSteps() {
    std::vector<Colour> steps{LevelColours::at(-100)};
    for (const double edge : LevelColours::edgesDb()) steps.push_back(LevelColours::at(edge + 0.1));
    return steps;
}

TEST(ColourVision, matricesKeepWhite) {
    for (const Vision& v : visions()) {
        for (const Linear& row : v.matrix) EXPECT_NEAR(row[0] + row[1] + row[2], 1, 2e-6) << v.name;
    }
}

TEST(ColourVision, contrastOfBlackOnWhiteIs21) {
    EXPECT_NEAR(contrast({0, 0, 0}, {1, 1, 1}), 21, 1e-9);  // W3C, WCAG 2.1
}

TEST(ColourVision, pureRedHasItsPublishedLab) {
    const Linear lab = labOf(linearOf({1, 0, 0}));  // common practice: 53.24, 80.09, 67.20 for D65
    EXPECT_NEAR(lab[0], 53.24, 0.02);
    EXPECT_NEAR(lab[1], 80.09, 0.05);
    EXPECT_NEAR(lab[2], 67.20, 0.05);
}

// 30 units of CIE 1976 Lab are more than ten times what is just noticeable (2.3: Mahy et al., Color Res.
// Appl. 19, 1994, from memory).
TEST(Palette, everyTwoCurvesDifferForProtanopesAndDeuteranopesToo) {
    for (const Vision& v : visions()) {
        for (std::size_t i = 0; i < Palette::curveCount(); ++i) {
            for (std::size_t j = 0; j < i; ++j) {  // the sixth: still ten times
                EXPECT_GT(distance(Palette::curve(i), Palette::curve(j), v), i == 5 ? 23 : 30)
                    << v.name << ' ' << i << ' ' << j;
            }
        }
    }
}

TEST(Palette, everyTwoCurvesDifferInLineStyleToo) {
    for (std::size_t i = 0; i < Palette::curveCount(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            const Pen a = Palette::curvePen(i), b = Palette::curvePen(j);
            EXPECT_TRUE(a.dashes != b.dashes || a.width > 1.25 * b.width || b.width > 1.25 * a.width)
                << i << ' ' << j;
        }
    }
}

TEST(Palette, textInEveryInkHasAContrastOfFourAndAHalfToOne) {
    std::vector<Colour> inks{Palette::ink(), Palette::quietText()};
    for (std::size_t i = 0; i < Palette::curveCount(); ++i) inks.push_back(Palette::curve(i));
    for (std::size_t i = 0; i < inks.size(); ++i) {
        EXPECT_GE(contrast(inks[i], Palette::paper()), 4.5) << i;
        EXPECT_GE(contrast(inks[i], {1, 1, 1}), 4.5) << i;
    }
}

TEST(Palette, oklchOfWhiteGreyAndBlackIsGrey) {
    for (const double lightness : {0.0, 0.5, 1.0}) {
        const Colour c = fromOklch(lightness, 0, 123);
        EXPECT_NEAR(c.red, c.green, 2e-6);
        EXPECT_NEAR(c.green, c.blue, 2e-6);
    }
    // B. Ottosson (2020): sRGB red is L 0.628, C 0.258, h 29.2 degrees (rounded).
    const Colour red = fromOklch(0.62796, 0.25768, 29.234);
    EXPECT_NEAR(red.red, 1, 0.002);
    EXPECT_NEAR(red.green, 0, 0.02);
    EXPECT_NEAR(red.blue, 0, 0.02);
}

TEST(LevelColours, stepsDarkenEvenlyForEveryVision) {
    const auto steps = levelSteps();
    for (const Vision& v : visions()) {
        const auto lightness = [&](std::size_t i) { return labOf(seen(steps[i], v))[0]; };
        const double mean = (lightness(0) - lightness(10)) / 10;
        EXPECT_GT(mean, 5) << v.name;  // a step of 3 dB is seen at once
        for (std::size_t i = 0; i < 10; ++i)
            EXPECT_NEAR(lightness(i) - lightness(i + 1), mean, 0.3 * mean) << v.name << i;
    }
}

TEST(LevelColours, louderThanTheAxisIsToldFromEveryOtherStep) {
    const auto steps = levelSteps();
    ASSERT_EQ(steps.size(), 13u);
    for (const Vision& v : visions()) {
        for (std::size_t loud : {11u, 12u}) {
            for (std::size_t i = 0; i < loud; ++i)
                EXPECT_GT(distance(steps[loud], steps[i], v), 11) << v.name << loud << i;
        }
    }
}

TEST(LevelColours, aLevelHasTheColourOfItsStep) {
    EXPECT_EQ(LevelColours::rgbAt(-4), LevelColours::rgbAt(-5.99));
    EXPECT_NE(LevelColours::rgbAt(-4), LevelColours::rgbAt(-6.01));
    EXPECT_EQ(LevelColours::rgbAt(0), LevelColours::rgbAt(0.9));
    EXPECT_NE(LevelColours::rgbAt(0.9), LevelColours::rgbAt(1.1));
    EXPECT_EQ(LevelColours::rgbAt(-31), LevelColours::rgbAt(-200));
    EXPECT_NE(LevelColours::rgbAt(std::nan("")), LevelColours::rgbAt(-200));
}

}  // namespace
}  // namespace volvelle
