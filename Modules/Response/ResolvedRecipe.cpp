#include "Response/ResolvedRecipe.h"

#include "Signal/Excitation.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <algorithm>
#include <cmath>
#include <functional>

namespace volvelle {

namespace {

// Before the earliest arrival: enough for a converter's and the band limit's ringing.
constexpr double mainLead = 0.0025, mainFadeIn = 0.0015;
constexpr double lowLead = 0.010, lowFadeIn = 0.008;
constexpr double defaultCrossFadeHz = 1400;
constexpr double lowestMainOctaveHz = 1800;  // octaves above decide the main window, those below the low one
constexpr double lowestJudgedHz = 45;        // below, decays tell of the band limit rather than of the unit
constexpr double shortestMain = 0.010, shortestLow = 0.060, longestWindow = 0.6;
constexpr double safety = 1.05;       // of decay times
constexpr double fadeOutPart = 0.35;  // of the decay, added beyond it

double quantile(std::vector<double> values, double part) {
    if (values.empty()) return notStated;
    const auto at = static_cast<std::ptrdiff_t>(std::lround(part * static_cast<double>(values.size() - 1)));
    std::nth_element(values.begin(), values.begin() + at, values.end());
    return values[static_cast<std::size_t>(at)];
}

/// What the captures of a run say together.
struct RunTimes {
    double earliest = notStated, latest = notStated;
    double mainDecay = notStated, lowDecay = notStated;
    double recordedS = 0;  ///< shortest impulse
    double tailS = 0;      ///< shortest stretch recorded after the excitation's end
    bool circular = true;  ///< negative times exist (recordings)
};

/// Of the captures that are kept; where none of these has the value, of the doubtful ones.
std::vector<double> collected(const RunRecord& run, const std::function<double(const Capture&)>& value) {
    std::vector<double> all;
    for (const CaptureState state : {CaptureState::kept, CaptureState::doubtful}) {
        for (const DriveRecord& drive : run.drives)
            for (const Capture& capture : drive.captures)
                if (capture.kind == CaptureKind::position && capture.state == state)
                    if (const double v = value(capture); std::isfinite(v)) all.push_back(v);
        if (!all.empty()) break;
    }
    return all;
}

double slowestDecay(const RunRecord& run, double fromHz, double toHz) {
    double slowest = notStated;
    const auto& octaves = judgedOctavesHz();
    for (std::size_t b = 0; b < octaves.size(); ++b) {
        if (octaves[b] < fromHz || octaves[b] >= toHz) continue;
        const double decay =
            quantile(collected(run,
                               [b](const Capture& c) {
                                   return b < c.quality.decayS.size() ? c.quality.decayS[b] : notStated;
                               }),
                     0.75);
        if (std::isfinite(decay) && !(slowest >= decay)) slowest = decay;
    }
    return slowest;
}

RunTimes timesOf(const RunRecord& run) {
    RunTimes times;
    const auto arrivals = collected(run, [](const Capture& c) { return c.quality.arrivalS; });
    if (!arrivals.empty()) {
        // One wrong arrival must not move the window of a whole run.
        const double middle = quantile(arrivals, 0.5);
        times.earliest = std::max(*std::min_element(arrivals.begin(), arrivals.end()), middle - 0.003);
        times.latest = std::min(*std::max_element(arrivals.begin(), arrivals.end()), middle + 0.003);
    }
    times.mainDecay = slowestDecay(run, lowestMainOctaveHz, 1e9);
    times.lowDecay = slowestDecay(run, lowestJudgedHz, lowestMainOctaveHz);
    times.recordedS = times.tailS = 1e9;
    for (const DriveRecord& drive : run.drives) {
        if (drive.form == CaptureForm::textResponse) continue;
        const double recorded = static_cast<double>(drive.samplesPerChannel) / drive.sampleRateHz;
        const double played = static_cast<double>(drive.excitation.samples.size()) / drive.sampleRateHz;
        times.recordedS = std::min(times.recordedS, recorded);
        times.tailS = std::min(times.tailS, recorded - played);
        if (drive.form == CaptureForm::impulseResponse) times.circular = false;
    }
    return times;
}

/// How a window is placed where the recipe leaves it open.
struct Placing {
    double leadS, fadeInS, shortestS, decayS;
    const char* name;   ///< in recipes
    const char* words;  ///< in notes
};

/// What is resolved is written with results: numbers that a reader can take in. Made as the recipe's reader
/// makes them of milliseconds, so that they are written without tails.
double ofMicroseconds(double whole) {
    return whole / 1000 / 1000;
}

double inMicroseconds(double seconds) {
    return ofMicroseconds(std::round(seconds * 1e6));
}

constexpr double nanosecond = 1e-9;  // what rounding may leave of times

/// The same, and never more.
double downToMicroseconds(double seconds) {
    return ofMicroseconds(std::floor((seconds + nanosecond) * 1e6));
}

void fill(WindowChoice& choice, const Placing& placing, const RunTimes& times) {
    const double flat = std::max(placing.shortestS, times.latest - times.earliest + safety * placing.decayS);
    if (!choice.startS) choice.startS = -placing.leadS;
    if (!choice.endS) choice.endS = inMicroseconds(std::min(flat * (1 + fadeOutPart), longestWindow));
    const double length = *choice.endS - *choice.startS;
    if (!choice.fadeInS) choice.fadeInS = downToMicroseconds(std::min(placing.fadeInS, 0.25 * length));
    if (!choice.fadeOutS)
        choice.fadeOutS =
            inMicroseconds(std::min(fadeOutPart / (1 + fadeOutPart) * *choice.endS, 0.5 * length));
}

std::string inMs(double seconds) {
    return fixedText(seconds * 1000, 1) + " ms";
}

std::string fieldOf(const Recipe& recipe, const Placing& placing, const char* edge) {
    return recipeField(recipe, std::string("/") + placing.name + edge);
}

/// Ends the window with the recording: shortens what was resolved, refuses what was given.
void fitEnd(WindowChoice& choice, bool given, double latestS, const Placing& placing, ResolvedRecipe& out) {
    if (*choice.endS <= latestS + nanosecond) return;
    if (given)
        throw Error(ErrorKind::input, "the window ends after what was recorded",
                    fieldOf(out.recipe, placing, "/end_ms"),
                    "The latest end is " + inMs(latestS) + " after the earliest arrival");
    choice.endS = downToMicroseconds(latestS);
    out.notes.push_back(std::string(placing.words) + " ends with the recording, " + inMs(out.arrivalS + latestS) +
                        " after time zero, before the decay has met the noise");
}

/// Starts the window with impulse responses that have no negative times.
void fitStart(WindowChoice& choice, bool given, double arrivalS, const Placing& placing,
              const Recipe& recipe) {
    if (*choice.startS + arrivalS >= 0) return;
    if (given)
        throw Error(ErrorKind::input, "the window starts before the impulse responses do",
                    fieldOf(recipe, placing, "/start_ms"),
                    "The earliest start is " + inMs(arrivalS) + " before the earliest arrival");
    const double startS = -downToMicroseconds(arrivalS);
    choice.fadeInS = inMicroseconds(std::max(0.0, *choice.fadeInS + *choice.startS - startS));
    choice.startS = startS;
}

/// Ahead of the linear response lie those of the sweep's harmonics: refuses a start that was given among
/// them.
void refuseHarmonics(const RunRecord& run, const std::optional<double>& startS, const Placing& placing,
                     const Recipe& recipe) {
    if (!startS || -*startS <= placing.leadS) return;
    for (const DriveRecord& drive : run.drives) {
        if (drive.form != CaptureForm::recording) continue;
        const auto sweep = recogniseSweep(drive.excitation.samples, drive.excitation.sampleRateHz);
        if (!sweep || -*startS < sweep->leadS(2)) continue;
        throw Error(ErrorKind::input, "the window starts among the harmonics of the excitation",
                    fieldOf(recipe, placing, "/start_ms"),
                    "The second harmonic lies " + inMs(sweep->leadS(2)) + " before the arrival: start later");
    }
}

Window windowAt(double arrivalS, WindowChoice& choice, const Placing& placing, const Recipe& recipe) {
    const double room = std::max(0.0, *choice.endS - *choice.startS - *choice.fadeInS);
    if (*choice.fadeOutS > room + nanosecond) choice.fadeOutS = downToMicroseconds(room);
    const Window window{arrivalS + *choice.startS, *choice.fadeInS, *choice.fadeOutS,
                        arrivalS + *choice.endS};
    if (!(window.lengthS() > 0) || window.fadeInS + window.fadeOutS > window.lengthS() * (1 + 1e-9))
        throw Error(ErrorKind::input, "the window's fades are longer than the window",
                    fieldOf(recipe, placing, ""), "Shorten the fades");
    return window;
}

}  // namespace

double ResolvedRecipe::resolutionHz() const {
    return lowWindow ? lowWindow->resolutionHz() : window.resolutionHz();
}

ResolvedRecipe resolveRecipe(const RunRecord& run, const Recipe& recipe) {
    ResolvedRecipe out;
    out.recipe = recipe;
    const bool onlyText = std::all_of(run.drives.begin(), run.drives.end(), [](const DriveRecord& d) {
        return d.form == CaptureForm::textResponse;
    });
    if (onlyText) return out;  // nothing is windowed
    Recipe& r = out.recipe;
    const RunTimes times = timesOf(run);
    if (!std::isfinite(times.earliest)) {
        const bool isAny = std::any_of(run.drives.begin(), run.drives.end(), [](const DriveRecord& d) {
            return std::any_of(d.captures.begin(), d.captures.end(), [](const Capture& c) {
                return c.kind == CaptureKind::position && c.state != CaptureState::superseded;
            });
        });
        if (!isAny) throw Error(ErrorKind::input, "no position is measured yet", "", "Measure first");
        throw Error(ErrorKind::input, "no capture of the run has an arrival to place the window at", "",
                    "See `volvelle show`");
    }
    out.arrivalS = times.earliest;
    const double recorded = times.recordedS - times.earliest;
    const double given = times.circular ? recorded / 2 : recorded;  // beyond lie the harmonics

    const Placing main{mainLead,     mainFadeIn,
                       shortestMain, std::isfinite(times.mainDecay) ? times.mainDecay : 0.1,
                       "window",     "the window"};
    fill(r.window, main, times);
    const double tail = times.circular ? std::max(times.tailS - times.earliest, shortestMain) : recorded;
    fitEnd(r.window, recipe.window.endS.has_value(), recipe.window.endS ? given : tail, main, out);
    refuseHarmonics(run, recipe.window.startS, main, recipe);
    if (!times.circular) fitStart(r.window, recipe.window.startS.has_value(), times.earliest, main, recipe);

    const Placing low{lowLead,      lowFadeIn,
                      shortestLow,  std::isfinite(times.lowDecay) ? times.lowDecay : 0.2,
                      "low_window", "the low window"};
    if (r.lowWindowChoice != Recipe::LowWindow::none) {
        fill(r.lowWindow, low, times);
        fitEnd(r.lowWindow, recipe.lowWindow.endS.has_value(), given, low, out);
        refuseHarmonics(run, recipe.lowWindow.startS, low, recipe);
        if (!times.circular)
            fitStart(r.lowWindow, recipe.lowWindow.startS.has_value(), times.earliest, low, recipe);
        if (r.lowWindowChoice == Recipe::LowWindow::automatic && *r.lowWindow.endS <= 1.5 * *r.window.endS) {
            if (!recipe.window.endS)
                r.window.endS =
                    std::min(std::max(*r.window.endS, *r.lowWindow.endS), downToMicroseconds(tail));
            r.lowWindowChoice = Recipe::LowWindow::none;
        }
    }
    out.window = windowAt(times.earliest, r.window, main, recipe);
    if (r.lowWindowChoice == Recipe::LowWindow::none) {
        r.lowWindow = {};
        r.crossFadeHz = std::nullopt;
        return out;
    }
    r.lowWindowChoice = Recipe::LowWindow::given;
    if (!r.crossFadeHz) r.crossFadeHz = defaultCrossFadeHz;
    out.lowWindow = windowAt(times.earliest, r.lowWindow, low, recipe);
    return out;
}

}  // namespace volvelle
