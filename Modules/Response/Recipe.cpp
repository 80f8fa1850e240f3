#include "Response/Recipe.h"

#include "Text/JsonReader.h"
#include "Text/JsonWriter.h"
#include "Text/Nearest.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace volvelle {
namespace {

const std::vector<std::string> gridNames{"logarithmic", "band-centres"};
const std::vector<std::string> airNames{"none", "lossless", "reference-climate"};
const std::vector<std::string> repeatsNames{"first", "complex-mean"};
const std::vector<std::string> weightsNames{"areas", "each-curve-once"};
const std::vector<std::string> lowWindowNames{"automatic", "none"};
const std::vector<int> smoothings{0, 1, 2, 3, 6, 12, 24, 48};

template <typename Choice>
void readChoice(const JsonObject& object, std::string_view key, const std::vector<std::string>& names,
                Choice& choice) {
    if (const auto index = object.choice(key, names)) choice = static_cast<Choice>(*index);
}

template <typename Value>
void assign(Value& value, const std::optional<Value>& given) {
    if (given) value = *given;
}

std::optional<double> seconds(const JsonObject& object, std::string_view key, double lowMs, double highMs) {
    const auto ms = object.number(key, Range::between(lowMs, highMs));
    return ms ? std::optional(*ms / 1000) : std::nullopt;
}

WindowChoice readWindow(const JsonObject& object) {
    WindowChoice window;
    window.startS = seconds(object, "start_ms", -1000, 1000);
    window.fadeInS = seconds(object, "fade_in_ms", 0, 1000);
    window.fadeOutS = seconds(object, "fade_out_ms", 0, 10000);
    window.endS = seconds(object, "end_ms", -1000, 60000);
    object.finish();
    if (!window.startS || !window.endS) return window;
    const double length = *window.endS - *window.startS;
    if (length <= 0)
        throw object.error("end_ms", "lies at the window's start or before", "Write an end after start_ms");
    // The slack lets windows pass whose fades, once resolved, meet but for rounding.
    if (window.fadeInS.value_or(0) + window.fadeOutS.value_or(0) > length * (1 + 1e-9))
        throw object.error(
            "", "has fades that are longer than the window",
            fmt::format("Keep fade_in_ms and fade_out_ms together to {}", shortestText(length * 1000)));
    return window;
}

void readLowWindow(const JsonObject& root, Recipe& recipe) {
    if (!root.has("low_window")) return;
    if (root.isText("low_window"))
        return readChoice(root, "low_window", lowWindowNames, recipe.lowWindowChoice);
    const auto object = root.object("low_window");
    recipe.lowWindowChoice = Recipe::LowWindow::given;
    recipe.lowWindow = readWindow(*object);
    if (recipe.window.endS && recipe.lowWindow.endS && *recipe.lowWindow.endS < *recipe.window.endS)
        throw object->error("end_ms", "lies before the end of the window for high frequencies",
                            "The window for low frequencies is the longer one: write a later end");
}

void readGrid(const JsonObject& object, Recipe& recipe) {
    readChoice(object, "kind", gridNames, recipe.grid);
    assign(recipe.perOctave, object.wholeNumber("per_octave", 1, 192));
    assign(recipe.lowHz, object.number("low_hz", Range::between(1, 200000)));
    assign(recipe.highHz, object.number("high_hz", Range::between(1, 200000)));
    object.finish();
    if (recipe.lowHz >= recipe.highHz)
        throw object.error(object.has("high_hz") ? "high_hz" : "low_hz",
                           fmt::format("makes a grid from {} to {} Hz", shortestText(recipe.lowHz),
                                       shortestText(recipe.highHz)),
                           "Write low_hz below high_hz");
}

void readSmoothing(const JsonObject& root, Recipe& recipe) {
    assign(recipe.smoothing, root.wholeNumber("smoothing", 0, 48));
    if (std::find(smoothings.begin(), smoothings.end(), recipe.smoothing) == smoothings.end())
        throw root.error(
            "smoothing", fmt::format("is {}", recipe.smoothing),
            fmt::format("Write 0 for none, or n for 1/n octave: {}", fmt::join(smoothings, ", ")));
}

/// The milliseconds that read back to the same seconds, as short as they can be.
double milliseconds(double valueS) {
    for (const int digits : {15, 16, 17})
        if (const double ms = *parseNumber(significantText(valueS * 1000, digits)); ms / 1000 == valueS)
            return ms;
    const double ms = valueS * 1000;
    for (const double neighbour : {std::nextafter(ms, ms - 1), std::nextafter(ms, ms + 1)})
        if (neighbour / 1000 == valueS) return neighbour;
    return ms;
}

JsonObjectText windowAsJson(const WindowChoice& window) {
    JsonObjectText object;
    const auto set = [&](const char* key, const std::optional<double>& valueS) {
        if (valueS) object.set(key, milliseconds(*valueS));
    };
    set("start_ms", window.startS);
    set("fade_in_ms", window.fadeInS);
    set("fade_out_ms", window.fadeOutS);
    set("end_ms", window.endS);
    return object;
}

template <typename Choice>
const std::string& nameOf(const std::vector<std::string>& names, Choice choice) {
    return names[static_cast<std::size_t>(choice)];
}

}  // namespace

Recipe parseRecipe(const std::string& text, const std::string& source) {
    const JsonObject root = JsonObject::parse(text, source);
    Recipe recipe;
    recipe.source = source;
    root.text("$schema");
    if (const auto window = root.object("window")) recipe.window = readWindow(*window);
    readLowWindow(root, recipe);
    if (const auto crossFade = root.object("cross_fade")) {
        recipe.crossFadeHz = crossFade->number("hz", Range::between(1, 100000));
        assign(recipe.crossFadeOctaves, crossFade->number("octaves", Range::aboveTo(0, 8)));
        crossFade->finish();
    }
    if (const auto grid = root.object("grid")) readGrid(*grid, recipe);
    readSmoothing(root, recipe);
    readChoice(root, "air", airNames, recipe.air);
    assign(recipe.subtractNoise, root.boolean("subtract_noise"));
    assign(recipe.microphoneCorrection, root.boolean("microphone_correction"));
    assign(recipe.excludeDoubtful, root.boolean("exclude_doubtful"));
    readChoice(root, "repeats", repeatsNames, recipe.repeats);
    readChoice(root, "power_weights", weightsNames, recipe.powerWeights);
    recipe.axisDeg = root.number("axis_deg");
    if (recipe.axisDeg && *recipe.axisDeg != 0 && *recipe.axisDeg != 180)
        throw root.error("axis_deg", fmt::format("is {}", shortestText(*recipe.axisDeg)),
                         "Write 0, or 180 for a drive that faces backwards");
    root.finish();
    return recipe;
}

std::string recipeField(const Recipe& recipe, const std::string& pointer) {
    return (recipe.source.empty() ? "recipe " : recipe.source + ", ") + pointer;
}

std::string recipeAsJson(const Recipe& recipe) {
    JsonObjectText root, crossFade, grid;
    root.setStated("window", windowAsJson(recipe.window));
    if (recipe.lowWindowChoice == Recipe::LowWindow::given)
        root.set("low_window", windowAsJson(recipe.lowWindow));
    else
        root.set("low_window", nameOf(lowWindowNames, recipe.lowWindowChoice));
    if (recipe.crossFadeHz) crossFade.set("hz", *recipe.crossFadeHz);
    crossFade.set("octaves", recipe.crossFadeOctaves);
    root.set("cross_fade", crossFade);
    grid.set("kind", nameOf(gridNames, recipe.grid));
    grid.set("per_octave", recipe.perOctave);
    grid.set("low_hz", recipe.lowHz);
    grid.set("high_hz", recipe.highHz);
    root.set("grid", grid);
    root.set("smoothing", recipe.smoothing);
    root.set("air", nameOf(airNames, recipe.air));
    root.set("subtract_noise", recipe.subtractNoise);
    root.set("microphone_correction", recipe.microphoneCorrection);
    root.set("exclude_doubtful", recipe.excludeDoubtful);
    root.set("repeats", nameOf(repeatsNames, recipe.repeats));
    root.set("power_weights", nameOf(weightsNames, recipe.powerWeights));
    if (recipe.axisDeg) root.set("axis_deg", *recipe.axisDeg);
    return root.text();
}

}  // namespace volvelle
