#include "Response/Recipe.h"
#include "Support/CommaLocale.h"
#include "Support/SchemaCheck.h"
#include "Text/Error.h"
#include "Text/TextFile.h"

#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <limits>
#include <random>

namespace volvelle {
namespace {

const std::string folder = VOLVELLE_DATASETS "/recipes/";

Recipe recipe(const std::string& text) {
    return parseRecipe(text, "r.json");
}

std::string refusal(const std::string& text) {
    try {
        recipe(text);
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::input);
        return error.what();
    }
    return "no error";
}

/// Largest relative difference of two windows; infinite where one states what the other does not.
double difference(const WindowChoice& a, const WindowChoice& b) {
    double largest = 0;
    for (const auto member :
         {&WindowChoice::startS, &WindowChoice::fadeInS, &WindowChoice::fadeOutS, &WindowChoice::endS}) {
        const auto &x = a.*member, &y = b.*member;
        if (x.has_value() != y.has_value()) return std::numeric_limits<double>::infinity();
        if (x && *x != *y) largest = std::max(largest, std::abs(*x - *y) / std::abs(*y));
    }
    return largest;
}

void expectEqual(const Recipe& a, const Recipe& b, double tolerance) {
    EXPECT_LE(difference(a.window, b.window), tolerance);
    EXPECT_LE(difference(a.lowWindow, b.lowWindow), tolerance);
    EXPECT_EQ(std::tie(a.lowWindowChoice, a.crossFadeHz, a.crossFadeOctaves, a.grid, a.perOctave, a.lowHz,
                       a.highHz, a.smoothing),
              std::tie(b.lowWindowChoice, b.crossFadeHz, b.crossFadeOctaves, b.grid, b.perOctave, b.lowHz,
                       b.highHz, b.smoothing));
    EXPECT_EQ(std::tie(a.air, a.subtractNoise, a.microphoneCorrection, a.excludeDoubtful, a.repeats,
                       a.powerWeights, a.axisDeg),
              std::tie(b.air, b.subtractNoise, b.microphoneCorrection, b.excludeDoubtful, b.repeats,
                       b.powerWeights, b.axisDeg));
}

class RecipeSource {
public:
    explicit RecipeSource(std::uint64_t seed) : random_(seed) {}

    Recipe next() {
        Recipe r;
        r.window = window(0.0, 0.2);
        r.lowWindowChoice = static_cast<Recipe::LowWindow>(random_() % 3);
        if (r.lowWindowChoice == Recipe::LowWindow::given) r.lowWindow = window(0.3, 1);
        if (maybe()) r.crossFadeHz = number(1, 100000);
        r.crossFadeOctaves = number(0.01, 8);
        r.grid = static_cast<Recipe::Grid>(random_() % 2);
        r.perOctave = 1 + static_cast<int>(random_() % 192);
        r.lowHz = number(1, 1000);
        r.highHz = number(1001, 200000);
        r.smoothing = std::vector<int>{0, 1, 2, 3, 6, 12, 24, 48}[random_() % 8];
        r.air = static_cast<Recipe::AirCorrection>(random_() % 3);
        r.subtractNoise = maybe();
        r.microphoneCorrection = maybe();
        r.excludeDoubtful = maybe();
        r.repeats = static_cast<Recipe::Repeats>(random_() % 2);
        r.powerWeights = static_cast<Recipe::PowerWeights>(random_() % 2);
        if (maybe()) r.axisDeg = maybe() ? 180 : 0;
        return r;
    }

private:
    bool maybe() { return random_() % 2 == 0; }
    double number(double low, double high) {
        return low + (high - low) * static_cast<double>(random_() >> 11) * 0x1p-53;
    }

    WindowChoice window(double lowEnd, double highEnd) {
        WindowChoice w;
        const double start = number(-0.1, -0.05), end = number(lowEnd, highEnd);
        if (maybe()) w.startS = start;
        if (maybe()) w.endS = end;
        if (maybe()) w.fadeInS = number(0, 0.02);
        if (maybe()) w.fadeOutS = number(0, (end - start) / 2);
        return w;
    }

    std::mt19937_64 random_;
};

TEST(Recipe, WhatIsWrittenIsReadBackEqual) {
    const auto schema = loadJson(folder + "recipe.schema.json");
    const std::uint64_t seed = std::random_device{}();
    SCOPED_TRACE("seed " + std::to_string(seed));
    RecipeSource source(seed);
    for (int i = 0; i < 500; ++i) {
        const Recipe written = source.next();
        const std::string text = recipeAsJson(written);
        const Recipe read = recipe(text);
        // A time in seconds may have no double of milliseconds that divides to it: then it moves by its last
        // bit, once.
        expectEqual(read, written, std::numeric_limits<double>::epsilon());
        EXPECT_EQ(recipeAsJson(read), text);
        expectEqual(recipe(recipeAsJson(read)), read, 0);
        EXPECT_EQ(violationOf(schema, nlohmann::json::parse(text)), "") << text;
        if (HasFailure()) FAIL() << text;
    }
}

TEST(Recipe, MillisecondsStayShort) {
    const std::string text =
        recipeAsJson(recipe(R"({"window": {"start_ms": -2.3, "fade_in_ms": 0.1, "end_ms": 84.7}})"));
    EXPECT_NE(text.find(R"("window": {"end_ms": 84.7, "fade_in_ms": 0.1, "start_ms": -2.3})"),
              std::string::npos)
        << text;
}

TEST(Recipe, AnEmptyRecipeIsTheDefault) {
    expectEqual(recipe("{}"), Recipe(), 0);
    EXPECT_EQ(
        recipeAsJson(Recipe()),
        R"({"air": "none", "cross_fade": {"octaves": 1}, "exclude_doubtful": false, "grid": {"high_hz": 20000, "kind": )"
        R"("logarithmic", "low_hz": 20, "per_octave": 48}, "low_window": "automatic", "microphone_correction": true, )"
        R"("power_weights": "areas", "repeats": "first", "smoothing": 0, "subtract_noise": false})");
}

TEST(Recipe, EachFieldIsRead) {
    const Recipe r = recipe(R"({"window": {"start_ms": -2, "fade_in_ms": 1, "fade_out_ms": 20, "end_ms": 80},
        "low_window": {"end_ms": 250}, "cross_fade": {"hz": 300, "octaves": 0.5},
        "grid": {"kind": "band-centres", "per_octave": 3, "low_hz": 100, "high_hz": 10000}, "smoothing": 6,
        "air": "reference-climate", "subtract_noise": true, "microphone_correction": false, "exclude_doubtful": true,
        "repeats": "complex-mean", "power_weights": "each-curve-once", "axis_deg": 180})");
    EXPECT_EQ(r.window.startS, -0.002);
    EXPECT_EQ(r.window.fadeInS, 0.001);
    EXPECT_EQ(r.window.fadeOutS, 0.02);
    EXPECT_EQ(r.window.endS, 0.08);
    EXPECT_EQ(r.lowWindowChoice, Recipe::LowWindow::given);
    EXPECT_EQ(r.lowWindow.endS, 0.25);
    EXPECT_EQ(r.crossFadeHz, 300);
    EXPECT_EQ(r.crossFadeOctaves, 0.5);
    EXPECT_EQ(r.grid, Recipe::Grid::bandCentres);
    EXPECT_EQ(r.perOctave, 3);
    EXPECT_EQ(r.lowHz, 100);
    EXPECT_EQ(r.highHz, 10000);
    EXPECT_EQ(r.smoothing, 6);
    EXPECT_EQ(r.air, Recipe::AirCorrection::referenceClimate);
    EXPECT_TRUE(r.subtractNoise && r.excludeDoubtful && !r.microphoneCorrection);
    EXPECT_EQ(r.repeats, Recipe::Repeats::complexMean);
    EXPECT_EQ(r.powerWeights, Recipe::PowerWeights::eachCurveOnce);
    EXPECT_EQ(r.axisDeg, 180);
    EXPECT_EQ(recipe(R"({"low_window": "none"})").lowWindowChoice, Recipe::LowWindow::none);
    EXPECT_EQ(recipe(R"({"air": "lossless"})").air, Recipe::AirCorrection::lossless);
}

TEST(Recipe, ExamplesFollowTheSchemaAndAreRead) {
    const auto schema = loadJson(folder + "recipe.schema.json");
    int examples = 0;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        const std::string path = entry.path().string();
        if (path.ends_with(".schema.json")) continue;
        ++examples;
        EXPECT_EQ(violationOf(schema, loadJson(path)), "") << path;
        EXPECT_NO_THROW(parseRecipe(readTextFile(path), path));
    }
    EXPECT_GE(examples, 3);
}

TEST(Recipe, SchemaAndReaderKnowTheSameKeys) {
    EXPECT_EQ(
        expectSameKeys(loadJson(folder + "recipe.schema.json"), loadJson(folder + "complete.json"), recipe),
        5);
}

TEST(Recipe, TheGuideNamesEveryKeyAndItsRange) {
    EXPECT_GT(expectDocumented(loadJson(folder + "recipe.schema.json"),
                               readTextFile(VOLVELLE_SOURCE "/Docs/recipe.md")),
              20);
}

TEST(Recipe, SchemaAndReaderAgreeOnEveryValue) {
    const auto isRule = [](const Error& error) {
        for (const char* rule : {"lies at the window's start", "fades that are longer",
                                 "lies before the end of the window", "makes a grid from"})
            if (error.problem().find(rule) != std::string::npos) return true;
        return false;
    };
    EXPECT_GT(expectSameValues(loadJson(folder + "recipe.schema.json"), loadJson(folder + "complete.json"),
                               recipe, isRule),
              350);
}

TEST(Recipe, SenselessValuesAreRefusedWithAdvice) {
    EXPECT_EQ(refusal(R"({"window": {"start_ms": 5, "end_ms": 5}})"),
              "r.json: /window/end_ms lies at the window's start or before. Write an end after start_ms");
    EXPECT_EQ(refusal(R"({"window": {"start_ms": 0, "fade_in_ms": 6, "fade_out_ms": 5, "end_ms": 10}})"),
              "r.json: /window has fades that are longer than the window. Keep fade_in_ms and fade_out_ms "
              "together to 10");
    EXPECT_EQ(refusal(R"({"window": {"end_ms": 80}, "low_window": {"end_ms": 70}})"),
              "r.json: /low_window/end_ms lies before the end of the window for high frequencies. The window "
              "for low frequencies "
              "is the longer one: write a later end");
    EXPECT_EQ(refusal(R"({"grid": {"low_hz": 1000, "high_hz": 100}})"),
              "r.json: /grid/high_hz makes a grid from 1000 to 100 Hz. Write low_hz below high_hz");
    EXPECT_EQ(refusal(R"({"grid": {"low_hz": 20000}})"),
              "r.json: /grid/low_hz makes a grid from 20000 to 20000 Hz. Write low_hz below high_hz");
    EXPECT_EQ(refusal(R"({"grid": {"per_octave": 0}})"),
              "r.json: /grid/per_octave is 0, outside its range. Write a number from 1 to 192");
    EXPECT_EQ(refusal(R"({"grid": {"per_octave": 193}})"),
              "r.json: /grid/per_octave is 193, outside its range. Write a number from 1 to 192");
    EXPECT_EQ(refusal(R"({"smoothing": 5})"),
              "r.json: /smoothing is 5. Write 0 for none, or n for 1/n octave: 0, 1, 2, 3, 6, 12, 24, 48");
    EXPECT_EQ(refusal(R"({"axis_deg": 90})"),
              "r.json: /axis_deg is 90. Write 0, or 180 for a drive that faces backwards");
    EXPECT_EQ(refusal(R"({"cross_fade": {"octaves": 0}})"),
              "r.json: /cross_fade/octaves is 0, outside its range. Write a number above 0 and of at most 8");
    EXPECT_EQ(refusal(R"({"low_window": "auto"})").substr(0, 63),
              "r.json: /low_window is 'auto', which is not known. Known are au");
    EXPECT_EQ(refusal(R"({"smothing": 3})").substr(0, 80),
              "r.json: the document has a key 'smothing' that is not known. Did you mean 'smoot");
    EXPECT_EQ(refusal(R"({"subtract_noise": 1})"),
              "r.json: /subtract_noise is the number 1, neither true nor false. Write true or false without "
              "quotes");
}

TEST(Recipe, FadesMayMeet) {
    EXPECT_NO_THROW(
        recipe(R"({"window": {"start_ms": -0.1, "fade_in_ms": 0.1, "fade_out_ms": 0.2, "end_ms": 0.2}})"));
}

TEST(Recipe, ReadsTheSameInGerman) {
    const std::string text = readTextFile(folder + "complete.json");
    const std::string expected = recipeAsJson(recipe(text));
    const CommaLocale german;
    ASSERT_TRUE(german.isGerman());
    EXPECT_EQ(recipeAsJson(recipe(text)), expected);
}

}  // namespace
}  // namespace volvelle
