#include "Figures/ColourVision.h"
#include "Figures/InventedPlates.h"
#include "Figures/Palette.h"
#include "Figures/Words.h"
#include "Text/Error.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace volvelle {
namespace {

using testing::HasSubstr;
using testing::Not;

void draw(const OverlayPlate& plate, Canvas& canvas) {
    drawOverlay(plate, canvas);
}
void draw(const SectionsPlate& plate, Canvas& canvas) {
    drawSections(plate, canvas);
}
void draw(const InteractionPlate& plate, Canvas& canvas) {
    drawInteraction(plate, canvas);
}

template <class Plate>
std::vector<PlacedText> textsOf(const Plate& plate) {
    Canvas canvas = Canvas::pixels(960, 2000, 0.25);
    draw(plate, canvas);
    return canvas.texts();
}

template <class Plate>
std::string allText(const Plate& plate) {
    std::string all;
    for (const PlacedText& t : textsOf(plate)) all += t.text + " ";
    return all;
}

/// Drawn into a picture of its own size: of that the PNG tells width and height.
template <class Plate>
void expectLegible(const Plate& plate, const std::string& which) {
    const auto png = asPng(plate, {0, 0, 0.25});
    const auto big = [&](std::size_t at) {
        double n = 0;
        for (std::size_t i = at; i < at + 4; ++i) n = 256 * n + static_cast<double>(png.at(i));
        return 4 * n;
    };
    const Box picture{0, 0, big(16), big(20)};
    Canvas canvas = Canvas::pixels(picture.right, picture.bottom + 4, 0.25);
    draw(plate, canvas);
    const auto& texts = canvas.texts();
    for (std::size_t i = 0; i < texts.size(); ++i) {
        EXPECT_TRUE(picture.grown(4).contains(texts[i].box)) << which << ": outside: " << texts[i].text;
        EXPECT_GE(contrast(texts[i].style.colour, Palette::paper()), 4.5) << which << ": " << texts[i].text;
        for (std::size_t j = 0; j < i; ++j) {
            EXPECT_FALSE(texts[i].box.overlaps(texts[j].box))
                << which << ": " << texts[i].text << " over " << texts[j].text;
        }
    }
}

TEST(Plates, labelsNeverOverlapNorLeaveThePictureFor60RandomOnes) {
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        expectLegible(randomOverlay(seed), fmt::format("overlay, seed {}", seed));
        expectLegible(randomSections(seed), fmt::format("sections, seed {}", seed));
        expectLegible(randomInteraction(seed), fmt::format("interaction, seed {}", seed));
    }
}

TEST(Plates, labelsDoNotOverlapForAnyNumberOfRunsAndCurvesNorWhereNothingIsKnown) {
    for (std::size_t runs = 2; runs <= 6; ++runs)
        for (std::size_t curves = 1; curves <= 4; ++curves)
            expectLegible(inventedOverlay(runs, curves), fmt::format("{} runs, {} curves", runs, curves));
    for (std::size_t curves = 1; curves <= 6; ++curves)
        expectLegible(inventedSections(curves), fmt::format("{} curves", curves));
    OverlayPlate none;
    none.runs = {"", ""};
    none.curves.resize(1);
    SectionsPlate noSections;
    noSections.curves.resize(2);
    expectLegible(none, "no runs known");
    expectLegible(noSections, "no sections known");
    expectLegible(InteractionPlate{}, "no interaction known");
}

TEST(Plates, equalInputsGiveEqualBytes) {
    EXPECT_EQ(asPng(inventedOverlay(3, 2)), asPng(inventedOverlay(3, 2)));
    EXPECT_EQ(asSvg(inventedOverlay(3, 2)), asSvg(inventedOverlay(3, 2)));
    EXPECT_EQ(asSvg(inventedSections(2)), asSvg(inventedSections(2)));
    EXPECT_EQ(asSvg(inventedInteraction()), asSvg(inventedInteraction()));
}

TEST(Plates, aSmallPictureIsTheLargeOneShrunk) {
    Canvas large = Canvas::pixels(960, 2000, 0.25), little = Canvas::pixels(480, 1000, 0.25);
    drawOverlay(inventedOverlay(3, 2), large);
    drawOverlay(inventedOverlay(3, 2), little);
    ASSERT_EQ(large.texts().size(), little.texts().size());
    for (std::size_t i = 0; i < large.texts().size(); ++i)
        EXPECT_NEAR(large.texts()[i].box.left / 2, little.texts()[i].box.left, 0.01);
}

TEST(Overlay, namesTheReferenceAndTheLargestDifferenceOfEachRunWithinTheValidRange) {
    OverlayPlate plate = inventedOverlay(3, 1);
    plate.reference = 1;
    auto& rows = plate.curves[0].valuesDb;
    rows.assign(3, std::vector<double>(plate.frequencyHz.size(), 80));
    rows[0][60] = 80.5;   // 640 Hz
    rows[2][70] = 78.75;  // 1.14 kHz
    rows[2][3] = 60;      // outside
    const std::string text = allText(plate);
    EXPECT_THAT(text, HasSubstr("A +0.50 dB at 640 Hz"));
    EXPECT_THAT(text, HasSubstr("C \xE2\x88\x92"
                                "1.25 dB at 1.14 kHz"));
    EXPECT_THAT(text, Not(HasSubstr("B +")));
    EXPECT_THAT(text, HasSubstr("serial 0008, 13 May, run 3f9c2ab07d41, to which the differences are taken"));
    EXPECT_THAT(text, HasSubstr("Difference to B, dB"));
}

TEST(Overlay, keepsTheProportionsThatItStates) {
    for (const std::size_t curves : {1u, 2u}) {
        OverlayPlate plate = inventedOverlay(2, curves);
        for (OverlayCurve& curve : plate.curves)  // 20 dB and more, so that two numbers stand on the axis
            for (auto& row : curve.valuesDb)
                for (std::size_t i = 0; i < row.size(); ++i) row[i] = 60 + 0.2 * static_cast<double>(i);
        double y70 = 0, y80 = 0, x1k = 0, x10k = 0;
        for (const PlacedText& t : textsOf(plate)) {
            if (t.text == "70" && y70 == 0) y70 = t.box.centre().y;
            if (t.text == "80" && y80 == 0) y80 = t.box.centre().y;
            if (t.text == "1 k") x1k = t.box.centre().x;
            if (t.text == "10 k") x10k = t.box.centre().x;
        }
        const double decadeDb = curves == 1 ? 25 : 50;
        EXPECT_NEAR((y70 - y80) / 10 * decadeDb, x10k - x1k, 0.05) << curves;
        EXPECT_THAT(allText(plate), HasSubstr(fmt::format("a decade is as long as {} dB", decadeDb)));
    }
}

TEST(Overlay, saysWhatIsNotKnownAndWhy) {
    OverlayPlate plate = inventedOverlay(2, 2);
    plate.curves[1].valuesDb.clear();
    plate.curves[1].missing = "B has no vertical orbit.";
    const std::string title = plate.curves[1].title, text = allText(plate);
    EXPECT_THAT(text, HasSubstr("Not drawn: " + title + ". B has no vertical orbit."));
    EXPECT_THAT(text, Not(HasSubstr("Not known of any run")));
    EXPECT_THAT(text, HasSubstr("a decade is as long as 25 dB"));  // one block is left
    plate.curves[0].valuesDb[1].clear();
    EXPECT_THAT(allText(plate), HasSubstr("Not drawn: differences of " + plate.curves[0].title));
    plate.curves.resize(1);
    plate.curves[0].valuesDb.clear();
    EXPECT_THAT(allText(plate), HasSubstr("Not known of any run"));
}

TEST(Sections, nameTheLargestDifferenceOfWholeAndCoherentSum) {
    SectionsPlate plate = inventedSections(1);
    plate.curves[0].whole = plate.curves[0].coherentSum;
    plate.curves[0].whole[60] += 1.25;
    plate.curves[0].powerSum[30] += 9;  // counts for nothing
    EXPECT_THAT(allText(plate), HasSubstr("largest difference +1.25 dB at 640 Hz"));
    plate.curves[0].whole.clear();
    plate.curves[0].missing = "vertical:40 of the whole is not in the run";
    EXPECT_THAT(allText(plate), HasSubstr("largest difference not known"));
    EXPECT_THAT(allText(plate), HasSubstr("vertical:40 of the whole is not in the run"));
}

TEST(InteractionFigure, namesItsFloorOrSaysThatThereIsNone) {
    InteractionPlate plate = inventedInteraction();
    EXPECT_THAT(allText(plate),
                HasSubstr("would show: noise of the three captures, drift of the axis checks"));
    EXPECT_THAT(allText(plate), HasSubstr("less than 6 dB"));
    EXPECT_THAT(allText(plate), HasSubstr("floor there"));
    plate.horizontal.floorDb.clear();
    plate.vertical.floorDb.clear();
    EXPECT_THAT(allText(plate), HasSubstr("The floor is not known"));
    EXPECT_THAT(allText(plate), Not(HasSubstr("less than 6 dB")));
}

TEST(InteractionFigure, saysWhereNothingStandsOutOfTheFloor) {
    InteractionPlate plate = inventedInteraction();
    EXPECT_THAT(allText(plate), Not(HasSubstr("Nothing stands")));
    plate.vertical.floorDb = plate.vertical.differenceDb;
    const std::string text = allText(plate);
    EXPECT_EQ(text.find("Nothing stands out of the floor"), text.rfind("Nothing stands"));  // in one map
    EXPECT_THAT(text, HasSubstr("Nothing stands out of the floor"));
    EXPECT_THAT(text, HasSubstr("none of it stands 6 dB above the floor, at most 0.0 dB"));
}

/// The vertical orbit as noise of a known floor would show it, seed printed where it fails.
InteractionPlate ofNoise(std::uint64_t seed) {
    InteractionPlate plate = inventedInteraction();
    std::mt19937_64 random(seed);
    std::exponential_distribution<double> squared(1);
    for (std::size_t a = 0; a < plate.vertical.angleDeg.size(); ++a)
        for (std::size_t f = 0; f < plate.frequencyHz.size(); ++f)
            plate.vertical.differenceDb[a][f] =
                plate.vertical.floorDb[a][f] + 10 * std::log10(squared(random) + 1e-9);
    return plate;
}

TEST(InteractionFigure, saysOfSpecksThatChanceLeavesThatNothingStandsOut) {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        InteractionPlate plate = ofNoise(seed);
        plate.horizontal = plate.vertical;
        const std::string text = allText(plate);
        EXPECT_NE(text.find("Nothing stands"), text.rfind("Nothing stands")) << "seed " << seed;  // in both maps
        EXPECT_THAT(text, HasSubstr(" % of it stands 6 dB above the floor, at most ")) << "seed " << seed;
    }
}

TEST(InteractionFigure, namesAFewPointsThatStandFarOut) {
    InteractionPlate plate = ofNoise(1);
    plate.vertical.differenceDb[12][70] = plate.vertical.floorDb[12][70] + 23.4;
    const std::string text = allText(plate), where = fmt::format("at most 23.4 dB ({}, −50°)", hertz(plate.frequencyHz[70]));
    EXPECT_THAT(text, HasSubstr(where));
    EXPECT_THAT(text, Not(HasSubstr("Nothing stands")));
}

/// The colour of the map at an angle and frequency, found by the axes' labels.
std::uint32_t mapPixel(const InteractionPlate& plate, const std::string& hz, const std::string& angle) {
    constexpr int columns = 1800, rows = 2400;
    std::vector<std::uint32_t> pixels(static_cast<std::size_t>(columns) * rows);
    Canvas canvas = Canvas::onto(pixels, columns, rows, columns * 4, 2);
    drawInteraction(plate, canvas);
    double x = 0, y = 0;
    for (const PlacedText& t : canvas.texts()) {
        if (t.text == hz && x == 0) x = t.box.centre().x;
        if (t.text == angle && y == 0) y = t.baseline.y - 0.36 * t.style.size;
    }
    const auto column = static_cast<std::size_t>(2 * (x + 4)), row = static_cast<std::size_t>(2 * (y - 3));
    return pixels[row * columns + column] & 0xFFFFFFu;
}

TEST(InteractionFigure, colourTellsTheLevelAndPalesLessThanSixDecibelsAboveTheFloor) {
    InteractionPlate plate = inventedInteraction();
    const auto fill = [&](double level, double floor) {
        for (InteractionOrbit* orbit : {&plate.horizontal, &plate.vertical}) {
            for (auto& row : orbit->differenceDb) row.assign(row.size(), level);
            for (auto& row : orbit->floorDb) row.assign(row.size(), floor);
        }
    };
    fill(-23, -40);
    EXPECT_EQ(mapPixel(plate, "2 k", "+60\xC2\xB0"), DifferenceColours::rgbAt(-23));
    fill(-23, -29.1);
    EXPECT_EQ(mapPixel(plate, "2 k", "+60\xC2\xB0"), DifferenceColours::rgbAt(-23));
    fill(-23, -28.9);
    EXPECT_EQ(mapPixel(plate, "2 k", "+60\xC2\xB0"), DifferenceColours::veiledRgbAt(-23));
    fill(-23, std::nan(""));  // not known: nothing to be veiled by
    EXPECT_EQ(mapPixel(plate, "2 k", "+60\xC2\xB0"), DifferenceColours::rgbAt(-23));
}

TEST(Plates, whatCannotBeDrawnIsRefused) {
    const auto kindOf = [](const auto& plate, const PictureSize& size = {}) {
        try {
            asPng(plate, size);
        } catch (const Error& e) {
            return e.kind();
        }
        return ErrorKind::bug;
    };
    OverlayPlate one = inventedOverlay(2, 1), outside = one, falling = one, bare = one;
    one.runs.pop_back();
    outside.reference = 2;
    std::swap(falling.frequencyHz[3], falling.frequencyHz[4]);
    bare.curves.clear();
    for (const OverlayPlate& plate : {one, outside, falling, bare})
        EXPECT_EQ(kindOf(plate), ErrorKind::usage);
    SectionsPlate many = inventedSections(6);
    many.curves.push_back(many.curves[0]);
    EXPECT_EQ(kindOf(many), ErrorKind::usage);
    InteractionPlate zero = inventedInteraction();
    zero.frequencyHz[0] = 0;
    EXPECT_EQ(kindOf(zero), ErrorKind::usage);
    EXPECT_EQ(kindOf(inventedOverlay(2, 1), {3, 0, 2}), ErrorKind::usage);
    EXPECT_EQ(kindOf(inventedOverlay(2, 1), {0, 0, 99}), ErrorKind::usage);
}

}  // namespace
}  // namespace volvelle
