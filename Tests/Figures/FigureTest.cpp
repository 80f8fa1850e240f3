#include "Figures/ColourVision.h"
#include "Figures/Figure.h"
#include "Figures/InventedFamily.h"
#include "Figures/Palette.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

namespace volvelle {
namespace {

using testing::HasSubstr;
using testing::Not;

std::vector<PlacedText> textsOf(const Family& family, FigureKind kind, const FigureOptions& options = {}) {
    Canvas canvas = Canvas::pixels(options.width != 0 ? options.width : 960,
                                   options.height != 0 ? options.height : 820, 0.25);
    drawFigure(family, kind, options, canvas);
    return canvas.texts();
}

std::string allText(const Family& family, FigureKind kind, const FigureOptions& options = {}) {
    std::string all;
    for (const PlacedText& t : textsOf(family, kind, options)) all += t.text + ' ';
    return all;
}

void expectLegible(const std::vector<PlacedText>& texts, const std::string& which) {
    const Box picture{0, 0, 960, 820};
    for (std::size_t i = 0; i < texts.size(); ++i) {
        EXPECT_TRUE(picture.contains(texts[i].box)) << which << ": outside: " << texts[i].text;
        for (std::size_t j = 0; j < i; ++j) {
            EXPECT_FALSE(texts[i].box.overlaps(texts[j].box))
                << which << ": " << texts[i].text << " over " << texts[j].text;
        }
    }
}

TEST(Figure, labelsNeverOverlapNorLeaveThePictureFor200RandomFamilies) {
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        const Family family = randomFamily(seed);
        for (const FigureKind kind : figureKinds()) {
            expectLegible(textsOf(family, kind), "seed " + fmt::to_string(seed) + " " + figureKindName(kind));
        }
    }
}

TEST(Figure, labelsDoNotOverlapInWholePartialAndEmptyFamiliesOfAnySize) {
    for (const Family& family : {inventedFamily(), emptyFamily(), Family{}}) {
        for (const FigureKind kind : figureKinds())
            expectLegible(textsOf(family, kind), figureKindName(kind));
    }
    for (std::size_t count = 1; count <= 12; ++count) {
        FigureOptions options;
        options.polarHz.clear();
        for (std::size_t i = 0; i < count; ++i)
            options.polarHz.push_back(100 * std::exp2(0.5 * static_cast<double>(i)));
        expectLegible(textsOf(inventedFamily(), FigureKind::polar, options),
                      fmt::to_string(count) + " polars");
    }
}

TEST(Figure, everyTextHasAContrastOfFourAndAHalfToOneOnItsGround) {
    for (const FigureKind kind : figureKinds()) {
        for (const PlacedText& t : textsOf(inventedFamily(), kind)) {
            EXPECT_GE(contrast(t.style.colour, Palette::paper()), 4.5) << t.text;
            EXPECT_EQ(t.style.colour.alpha, 1) << t.text;
            EXPECT_GE(t.style.size, 6) << t.text;
        }
    }
}

TEST(Figure, saysUnitDriveAxisLevelAndRunHonestly) {
    for (const FigureKind kind : figureKinds()) {
        const std::string text = allText(inventedFamily(), kind);
        EXPECT_THAT(text, HasSubstr("Invented two-way 1 \xC2\xB7 serial 0007"));
        EXPECT_THAT(text, HasSubstr("Drive front \xC2\xB7 axis 0\xC2\xB0 \xC2\xB7 "));
        EXPECT_THAT(text, HasSubstr("run 3f9c2ab07d41"));
        EXPECT_THAT(text, HasSubstr("Volvelle 0.1.0"));
        EXPECT_THAT(text, HasSubstr("smoothed over 1/24 octave"));
        const std::string nothing = allText(emptyFamily(), kind);
        EXPECT_THAT(nothing, HasSubstr("unit not stated \xC2\xB7 serial not stated"));
        EXPECT_THAT(nothing, HasSubstr("run not stated"));
    }
}

TEST(Figure, saysWhatItsAxisIsAndClaimsNoLevelWhereThereIsNone) {
    const std::string level = "dB re 20 \xC2\xB5Pa at 1 m, 2.83 V at the terminals of front";
    const std::pair<FigureKind, std::string> kinds[] = {
        {FigureKind::family, level},
        {FigureKind::map, "dB re the level on the axis"},
        {FigureKind::polar, "dB re the level on the axis"},
        {FigureKind::impulse, "samples, and levels in dB, re the largest sample"},
        {FigureKind::distortion, "% and dB re the fundamental"}};
    for (const auto& [kind, axis] : kinds) {
        const std::string text = allText(inventedFamily(), kind);
        EXPECT_THAT(text, HasSubstr("axis 0\xC2\xB0 \xC2\xB7 " + axis));
        EXPECT_EQ(text.find(level) == std::string::npos, kind != FigureKind::family) << figureKindName(kind);
        EXPECT_THAT(asSvg(inventedFamily(), kind), HasSubstr(axis));
    }
    EXPECT_THAT(allText(emptyFamily(), FigureKind::family), HasSubstr("level reference not stated"));
    Family turned = inventedFamily();  // no 0 degrees in either orbit
    for (DirectivityMap* map : {&turned.horizontal, &turned.vertical}) {
        const auto at = std::find(map->angleDeg.begin(), map->angleDeg.end(), 0.0) - map->angleDeg.begin();
        map->angleDeg.erase(map->angleDeg.begin() + at);
        map->levelDb.erase(map->levelDb.begin() + at);
    }
    EXPECT_THAT(allText(turned, FigureKind::map), HasSubstr("dB re the largest level of the orbit"));
}

TEST(Figure, marksTheArrivalThatWasJudgedNotOneOfItsOwn) {
    Family family = inventedFamily();
    family.impulse.arrivalS = 0.00612;
    EXPECT_THAT(allText(family, FigureKind::impulse), HasSubstr("arrival 6.12 ms"));
    EXPECT_THAT(allText(family, FigureKind::impulse),
                HasSubstr("Arrival 6.12 ms after time zero, as judged"));
    family.impulse.arrivalS = std::nan("");
    EXPECT_THAT(allText(family, FigureKind::impulse), Not(HasSubstr("arrival not known")));
    EXPECT_THAT(allText(family, FigureKind::impulse), HasSubstr("The capture's arrival is not known."));
}

TEST(Figure, timesAreSaidToBeAfterTimeZero) {
    const std::string text = allText(inventedFamily(), FigureKind::impulse);
    const std::string axis = "Time, ms after time zero";
    const std::size_t first = text.find(axis);
    ASSERT_NE(first, std::string::npos);
    EXPECT_NE(text.find(axis, first + 1), std::string::npos);  // of both panels
    for (const FigureKind kind : figureKinds()) {
        EXPECT_THAT(
            allText(inventedFamily(), kind),
            HasSubstr("Window 5 ms \xE2\x80\xA6 20 ms after time zero, below 320 Hz the low window 4 ms "
                      "\xE2\x80\xA6 150 ms"));
    }
}

/// The last number under the lower panel of the impulse figure, ms.
double lastTimeMs(const Family& family) {
    double last = 0, lowest = 0;
    const auto texts = textsOf(family, FigureKind::impulse);
    double titleY = 0;
    for (const PlacedText& t : texts)
        if (t.text == "Time, ms after time zero") titleY = std::max(titleY, t.box.top);
    for (const PlacedText& t : texts) {
        const auto number = parseNumber(t.text);
        if (!number || std::abs(titleY - t.box.top - 14) > 1) continue;
        lowest = std::max(lowest, t.box.top);
        last = std::max(last, *number);
    }
    return lowest > 0 ? last : -1;
}

TEST(Figure, theImpulsePanelEndsWithTheSamples) {
    Family family = inventedFamily();  // its low window ends at 150 ms
    EXPECT_GT(lastTimeMs(family), 155);
    family.impulse.samples.resize(static_cast<std::size_t>((0.152 - family.impulse.firstSampleS) * 48000));
    EXPECT_GE(lastTimeMs(family), 140);
    EXPECT_LE(lastTimeMs(family), 152);
}

TEST(Figure, bandCentresOfPolarCurvesHaveTheirNominalNames) {
    Family family = inventedFamily();
    family.frequencyHz.clear();
    for (int k = 13; k <= 43; ++k) family.frequencyHz.push_back(std::pow(10, k / 10.0));
    for (DirectivityMap* map : {&family.horizontal, &family.vertical}) {
        for (auto& row : map->levelDb) row.resize(family.frequencyHz.size());
        map->beamwidthDeg.resize(family.frequencyHz.size());
    }
    FigureOptions options;
    options.polarHz = {31.5, 250, 500, 1250, 8000, 16000};
    std::string titles;
    for (const PlacedText& t : textsOf(family, FigureKind::polar, options))
        if (t.style.size == 11) titles += t.text + "|";
    EXPECT_EQ(titles, "31.5 Hz|250 Hz|500 Hz|1.25 kHz|8 kHz|16 kHz|");
}

TEST(Figure, saysOnceWhatBoundsItAndWhatThatIs) {
    Family family = inventedFamily();
    EXPECT_THAT(allText(family, FigureKind::family),
                HasSubstr("Valid from 66.7 Hz (window) to 19.8 kHz (excitation), drawn faint outside."));
    family.validity = {0, {100, 16000}, 2860, 60, {}, "the files' own grid"};
    family.impulse = {};
    for (const FigureKind kind : figureKinds()) {
        const std::string text = allText(family, kind);
        EXPECT_THAT(text,
                    HasSubstr("Valid from 100 Hz to 16 kHz (the files' own grid), drawn faint outside."));
        EXPECT_THAT(text, HasSubstr("Responses as the files give them, no window"));
        EXPECT_THAT(text, Not(HasSubstr("excitation")));
    }
}

TEST(Figure, saysInWordsWhatIsMissingAndWhy) {
    const Family empty = emptyFamily();
    EXPECT_THAT(allText(empty, FigureKind::family), HasSubstr("No level curves to draw"));
    EXPECT_THAT(allText(empty, FigureKind::family),
                HasSubstr("The positions vertical:10, vertical:20, vertical:30 are not in the run"));
    EXPECT_THAT(allText(empty, FigureKind::map), HasSubstr("No map of the horizontal orbit"));
    EXPECT_THAT(allText(empty, FigureKind::map), HasSubstr("No map of the vertical orbit"));
    EXPECT_THAT(allText(empty, FigureKind::polar), HasSubstr("No polar curves to draw"));
    EXPECT_THAT(allText(empty, FigureKind::impulse),
                HasSubstr("The position horizontal:0 is not in the run"));
    EXPECT_THAT(allText(empty, FigureKind::distortion), HasSubstr("The run holds impulse responses"));
}

TEST(Figure, oneMissingCurveIsNamedAndTheOthersAreDrawn) {
    Family family = inventedFamily();
    family.curves[8].levelDb.assign(family.frequencyHz.size(), std::nan(""));
    family.curves[8].missing = "vertical:170 is missing.";
    const std::string text = allText(family, FigureKind::family);
    EXPECT_THAT(text, HasSubstr("Not drawn: Sound power. vertical:170 is missing."));
    EXPECT_THAT(text, HasSubstr("Early reflections "));
    EXPECT_THAT(text, Not(HasSubstr("No level curves")));
}

TEST(Figure, oneMissingOrbitIsNamedInThePolarFigure) {
    Family family = inventedFamily();
    family.vertical = {};
    EXPECT_THAT(allText(family, FigureKind::polar), HasSubstr("vertical orbit: not in the run"));
}

TEST(Figure, tellsTheLimitsOfTheWindowsInTheImpulseFigure) {
    const std::string text = allText(inventedFamily(), FigureKind::impulse);
    EXPECT_THAT(text, HasSubstr("cross-fade at 320 Hz (1 octave wide)"));
    EXPECT_THAT(text, HasSubstr("resolves down to about 6.85 Hz"));  // 1 / (150 ms - 4 ms)
    EXPECT_THAT(text, HasSubstr("resolves down to about 66.7 Hz"));  // 1 / (20 ms - 5 ms)
    EXPECT_THAT(text, HasSubstr("arrival 5.91 ms"));
    EXPECT_THAT(text, HasSubstr("Polarity of the first arrival: positive"));
}

TEST(Figure, aHarmonicThatNeverLeavesTheNoiseIsLabelledSo) {
    Family family = inventedFamily();
    for (std::size_t i = 0; i < family.frequencyHz.size(); ++i)
        family.distortion.floor[3][i] = family.distortion.ratio[3][i] / 1.9;
    std::string labels;  // on two lines
    for (const PlacedText& t : textsOf(family, FigureKind::distortion)) labels += t.text + "|";
    EXPECT_THAT(labels, HasSubstr("5th harmonic, in |the noise|"));
    EXPECT_THAT(labels, HasSubstr("4th harmonic|"));
}

TEST(Figure, aHarmonicThatHardlyLeavesTheNoiseIsLabelledSo) {
    Family family = inventedFamily();
    for (std::size_t i = 0; i < family.frequencyHz.size(); ++i)
        family.distortion.floor[3][i] = family.distortion.ratio[3][i] / (i / 4 == 15 ? 4 : 1.2);
    std::string labels;  // on two lines
    for (const PlacedText& t : textsOf(family, FigureKind::distortion)) labels += t.text + "|";
    EXPECT_THAT(labels, HasSubstr("5th harmonic, |mostly in the noise|"));
}

TEST(Figure, distortionTellsItsLevelAndEndsWhereTheFundamentalLiesInTheNoise) {
    Family family = inventedFamily();
    EXPECT_THAT(allText(family, FigureKind::distortion), HasSubstr("drive level not stated"));
    family.distortion.drivenAt = "peak of the excitation 5 V";
    EXPECT_THAT(allText(family, FigureKind::distortion), HasSubstr("peak of the excitation 5 V"));
    const auto noted = [&](const char* text) {
        return allText(family, FigureKind::distortion).find(text) != std::string::npos;
    };
    for (auto& ratio : family.distortion.ratio)  // all noise, ten times the fundamental
        for (double& value : ratio) value = 10;
    EXPECT_FALSE(noted("1000 %"));
    EXPECT_TRUE(noted("100 %"));
    family.distortion.fundamentalFloor.assign(family.frequencyHz.size(), 0.5);
    EXPECT_TRUE(noted("No harmonics to draw"));
    EXPECT_TRUE(noted("the fundamental lies in"));
}

TEST(Figure, notesOfAveragesStandWithTheFamilyAlone) {
    Family family = inventedFamily();
    family.averageNotes = {"sound power: weights as invented"};
    family.directionNotes = {"180 degrees departs as invented"};
    family.notes = {family.averageNotes[0], family.directionNotes[0]};
    for (const FigureKind kind : {FigureKind::family, FigureKind::map, FigureKind::impulse, FigureKind::distortion}) {
        const std::string text = allText(family, kind);
        EXPECT_EQ(text.find("weights as invented") != std::string::npos, kind == FigureKind::family);
        EXPECT_EQ(text.find("departs as invented") != std::string::npos,
                  kind == FigureKind::family || kind == FigureKind::map);
    }
}

TEST(Figure, tellsWindowsAfterTimeZeroAlsoWithoutAnAxis) {
    Family family = inventedFamily();
    family.impulse = {};
    family.recipe.window = {-0.001, 0.001, 0.004, 0.015};
    family.recipe.crossFadeHz.reset();
    EXPECT_THAT(allText(family, FigureKind::map), HasSubstr("15 ms after the earliest arrival"));
    family.earliestArrivalS = 0.006;
    EXPECT_THAT(allText(family, FigureKind::map),
                HasSubstr("Window 5 ms \xE2\x80\xA6 21 ms after time zero, earliest arrival 6 ms"));
}

TEST(Figure, theEstimatedInRoomCurveIsDrawnOnRequestOnly) {
    FigureOptions without;
    without.estimatedInRoom = false;
    EXPECT_THAT(allText(inventedFamily(), FigureKind::family), HasSubstr("Estimated in-room"));
    EXPECT_THAT(allText(inventedFamily(), FigureKind::family, without), Not(HasSubstr("Estimated in-room")));
}

TEST(Figure, equalInputsGiveEqualBytes) {
    for (const FigureKind kind : figureKinds()) {
        EXPECT_EQ(asPng(inventedFamily(), kind), asPng(inventedFamily(), kind));
        EXPECT_EQ(asSvg(inventedFamily(), kind), asSvg(inventedFamily(), kind));
    }
}

TEST(Figure, aSmallPictureIsTheLargeOneShrunk) {
    FigureOptions small;
    small.width = 480;
    small.height = 410;
    const auto large = textsOf(inventedFamily(), FigureKind::family),
               little = textsOf(inventedFamily(), FigureKind::family, small);
    ASSERT_EQ(large.size(), little.size());
    for (std::size_t i = 0; i < large.size(); ++i)
        EXPECT_NEAR(large[i].box.left / 2, little[i].box.left, 0.01);
}

TEST(Figure, senselessOptionsAreRefused) {
    const auto kindOf = [](const FigureOptions& options) {
        try {
            asPng(inventedFamily(), FigureKind::polar, options);
        } catch (const Error& e) {
            return e.kind();
        }
        return ErrorKind::bug;
    };
    FigureOptions tiny, huge, none, wrong;
    tiny.width = 3;
    huge.width = 9000;
    huge.scale = 8;
    none.polarHz = {};
    wrong.polarHz = {std::nan("")};
    for (const FigureOptions& options : {tiny, huge, none, wrong})
        EXPECT_EQ(kindOf(options), ErrorKind::usage);
}

TEST(Figure, kindsAreKnownByName) {
    for (const FigureKind kind : figureKinds()) EXPECT_EQ(figureKindNamed(figureKindName(kind)), kind);
    EXPECT_THROW(figureKindNamed("maps"), Error);
}

TEST(Figure, drawsOntoPixelsOfSomebodyElse) {
    std::vector<std::uint32_t> pixels(480 * 420, 0x123456);
    {
        Canvas canvas = Canvas::onto(pixels, 480, 410, 480 * 4, 0.5);
        drawFigure(inventedFamily(), FigureKind::family, {}, canvas);
    }
    EXPECT_EQ(pixels[0] & 0xFFFFFFu, 0xFBFAF5u);
    EXPECT_EQ(pixels[480 * 410], 0x123456u);  // not a pixel beyond
}

/// Where a level curve is drawn tells its level: the darkest pixel of a column against the axis laws.
TEST(Figure, theOnAxisCurveLiesWhereItsLevelSays) {
    Family family = inventedFamily();
    family.validity = {20, {20, 20000}, 20000, 20, {}};
    for (Curve& c : family.curves) {
        const double level = c.key == "on_axis" ? 84.9 : c.unit == CurveUnit::directivityDb ? 3.0 : 70.0;
        c.levelDb.assign(family.frequencyHz.size(), level);
    }
    FigureOptions options;
    options.estimatedInRoom = false;
    std::vector<std::uint32_t> pixels(3840 * 3280);
    Canvas canvas = Canvas::onto(pixels, 3840, 3280, 3840 * 4, 4);
    drawFigure(family, FigureKind::family, options, canvas);
    double y90 = 0, y50 = 0, x1k = 0, x2k = 0;
    for (const PlacedText& t : canvas.texts()) {
        if (t.text == "80" && y90 == 0) y90 = t.baseline.y - 0.36 * t.style.size;
        if (t.text == "50") y50 = t.text.size() == 2 && y50 == 0 ? t.baseline.y - 0.36 * t.style.size : y50;
        if (t.text == "1 k") x1k = t.box.centre().x;
        if (t.text == "2 k") x2k = t.box.centre().x;
    }
    const double perDb = (y50 - y90) / 30, expected = y90 - 4.9 * perDb;
    EXPECT_NEAR(perDb * 25, (x2k - x1k) / std::log10(2.0), 0.05);  // IEC 60263: a decade is as long as 25 dB
    const auto column = static_cast<std::size_t>(4 * (x1k + 13));
    double sum = 0, weight = 0;
    for (auto row = static_cast<std::size_t>(4 * (expected - 6));
         row < static_cast<std::size_t>(4 * (expected + 6)); ++row) {
        const bool dark = (pixels[row * 3840 + column] & 0xFFu) < 0x60;
        if (dark) sum += static_cast<double>(row) + 0.5;
        if (dark) weight += 1;
    }
    ASSERT_GT(weight, 0);
    EXPECT_NEAR(sum / weight / 4, expected, 0.15);  // a quarter of a pixel of an ordinary picture, 0.02 dB
}

}  // namespace
}  // namespace volvelle
