#pragma once

#include <optional>
#include <string>

namespace volvelle {

/// Edges and fades of a window in seconds relative to the earliest arrival of the run; what is absent is
/// resolved.
struct WindowChoice {
    std::optional<double> startS, fadeInS, fadeOutS, endS;
};

/// How captures become responses and families. Every choice that decides a number is here; what is absent is
/// resolved from the run before anything is computed (resolveRecipe) and goes with numbers into every result.
struct Recipe {
    enum class Grid { logarithmic, bandCentres };
    enum class AirCorrection { none, lossless, referenceClimate };
    enum class PowerWeights { areas, eachCurveOnce };
    enum class Repeats { first, complexMean };
    enum class LowWindow { automatic, none, given };

    WindowChoice window;
    LowWindow lowWindowChoice =
        LowWindow::automatic;  ///< whether there is a second, longer window below the cross-fade
    WindowChoice lowWindow;
    std::optional<double> crossFadeHz;  ///< centre
    double crossFadeOctaves = 1;        ///< width

    Grid grid = Grid::logarithmic;
    int perOctave = 48;
    double lowHz = 20, highHz = 20000;
    int smoothing = 0;  ///< 1/n octave, 0: none
    AirCorrection air = AirCorrection::none;
    bool subtractNoise = false;
    bool microphoneCorrection = true;
    bool excludeDoubtful = false;
    Repeats repeats = Repeats::first;
    PowerWeights powerWeights = PowerWeights::areas;
    std::optional<double> axisDeg;  ///< of the drive; else the plan's
    std::string source;             ///< the file that it was read from, for messages; may be empty
};

/// Reads a recipe (JSON with comments; unknown keys suggest the nearest). Throws Error{input}.
Recipe parseRecipe(const std::string& text, const std::string& source);

/// Where a fault of a recipe lies, for an Error: "loud.json, /window/end_ms", or "recipe /window/end_ms" of
/// one that was read from no file.
std::string recipeField(const Recipe& recipe, const std::string& pointer);

/// The recipe as JSON, one line, keys sorted; parseRecipe reads it back.
std::string recipeAsJson(const Recipe& recipe);

}  // namespace volvelle
