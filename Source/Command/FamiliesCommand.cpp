#include "Command/EmptyCurves.h"
#include "Command/Results.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Export/FamilyCsv.h"
#include "Export/FamilyJson.h"
#include "Families/MakeFamily.h"
#include "Figures/Words.h"
#include "Run/OpenRun.h"
#include "Text/Error.h"

#include <fmt/core.h>

#include <cmath>
#include <memory>
#include <utility>
#include <vector>

namespace volvelle {

namespace {

struct FamiliesLine : ResultLine {
    std::string csv, svg, png, json;
    bool complete = false;
};

/// Empty curves with the reasons, one for each reason.
std::string incompleteness(const Family& family) {
    std::string text;
    for (const Curve& curve : family.curves)
        if (!curve.missing.empty() && curve.derivation.empty())
            text += (text.empty() ? "" : "; ") + curve.key + " (" + curve.missing + ")";
    return text;
}

/// After time zero; the recipe counts from the earliest arrival.
void sayWindows(const Family& family) {
    const Recipe& recipe = family.recipe;
    if (!recipe.window.endS) return;
    const bool isKnown = std::isfinite(family.earliestArrivalS);
    const double zero = isKnown ? family.earliestArrivalS : 0;
    const auto span = [&](const auto& window) {
        return fixedText((zero + *window.startS) * 1000, 1) + " to " +
               fixedText((zero + *window.endS) * 1000, 1) + " ms";
    };
    std::string text = "Window " + span(recipe.window);
    if (recipe.crossFadeHz)
        text += ", and " + span(recipe.lowWindow) + " below " + fixedText(*recipe.crossFadeHz, 0) + " Hz, both";
    text += isKnown ? " after time zero; earliest arrival " + fixedText(zero * 1000, 1) + " ms"
                    : " after the earliest arrival";
    say(wrapped(text + "; nothing is resolved below " + fixedText(family.validity.resolutionHz, 1) + " Hz"));
}

void print(const Family& family) {
    say(wrapped(fmt::format("Drive {}, axis {}°, {}", family.drive, significantText(family.axisDeg, 4),
                            family.levelStatement)));
    sayWindows(family);
    const Validity& validity = family.validity;
    if (validity.valid().lowHz < validity.valid().highHz)
        say(wrapped("Valid from " + hertz(validity.valid().lowHz) + " to " + hertz(validity.valid().highHz)));
    say(std::string("Polarity on the axis: ") + (family.polarity > 0   ? "positive\n"
                                                 : family.polarity < 0 ? "negative\n"
                                                                       : "not known\n"));
    std::vector<std::pair<std::string, std::string>> empty;
    for (const Curve& curve : family.curves)
        if (!curve.missing.empty()) empty.emplace_back(curve.key, curve.missing);
    say(emptyCurvesText(empty));
    for (const std::string& note : family.notes) say(wrapped("Note: " + note));
}

void carryOut(const FamiliesLine& line) {
    const Recipe recipe = recipeFrom(line.recipe);
    const int jobs = jobsOf(line.jobs);
    checkResults({{"--csv", line.csv}, {"--svg", line.svg}, {"--png", line.png}, {"--json", line.json}},
                 line.force);
    const auto opened = openRun(line.run, diskFiles());
    const ReadableRun& run = *opened;
    const Family family = makeFamily(run, line.drive, recipe, jobs);
    if (const std::string lacks = incompleteness(family); line.complete && !lacks.empty())
        throw Error(ErrorKind::incomplete, "curves are incomplete: " + lacks,
                    line.run + ", drive " + family.drive, "Measure these positions, or leave out --complete");
    std::vector<ResultFile> results;
    if (!line.csv.empty()) results.push_back({line.csv, familyCsv(family)});
    if (!line.json.empty()) results.push_back({line.json, familyJson(family)});
    addFigures(results, family, FigureKind::family, line.svg, line.png);
    writeResultFiles(results, line.force);
    print(family);
    tellWritten(results);
}

}  // namespace

void addFamilies(CLI::App& app, Shell& shell) {
    auto line = std::make_shared<FamiliesLine>();
    CLI::App* sub = app.add_subcommand("families", "Make the curves of CTA-2034-A of one drive");
    addRunAndDrive(*sub, *line);
    addText(*sub, "--csv", line->csv, "FILE", "Write the curves as CSV");
    addText(*sub, "--json", line->json, "FILE", "Write them as JSON, with positions and weights");
    addText(*sub, "--svg", line->svg, "FILE", "Draw the family as SVG");
    addText(*sub, "--png", line->png, "FILE", "Draw the family as PNG");
    sub->add_flag("--complete", line->complete, "Refuse families with empty curves (exit code 5)");
    addMaking(*sub, *line);
    sub->callback([line, &shell] { shell.chosen = [line] { carryOut(*line); }; });
}

}  // namespace volvelle
