#include "Command/Results.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Export/FamilyCsv.h"
#include "Export/FamilyJson.h"
#include "Families/MakeFamily.h"
#include "Run/OpenRun.h"
#include "Text/Error.h"

#include <fmt/core.h>

#include <memory>
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

void print(const Family& family) {
    say(wrapped(fmt::format("Drive {}, axis {}°, {}", family.drive, significantText(family.axisDeg, 4),
                            family.levelStatement)));
    const auto span = [](const auto& window) {
        return fixedText(*window.startS * 1000, 1) + " to " + fixedText(*window.endS * 1000, 1) + " ms";
    };
    const Validity& validity = family.validity;
    if (family.recipe.window.endS)
        say(wrapped("Window " + span(family.recipe.window) + " about the earliest arrival" +
                    (family.recipe.crossFadeHz ? ", and " + span(family.recipe.lowWindow) + " below " +
                                                     fixedText(*family.recipe.crossFadeHz, 0) + " Hz"
                                               : "") +
                    "; nothing is resolved below " + fixedText(validity.resolutionHz, 1) + " Hz"));
    if (validity.valid().lowHz < validity.valid().highHz)
        say(wrapped("Valid from " + fixedText(validity.valid().lowHz, 0) + " to " +
                    fixedText(validity.valid().highHz, 0) + " Hz"));
    say(std::string("Polarity on the axis: ") + (family.polarity > 0   ? "positive\n"
                                                 : family.polarity < 0 ? "negative\n"
                                                                       : "not known\n"));
    for (const Curve& curve : family.curves)
        if (!curve.missing.empty()) say(wrapped("Empty: " + curve.key + ", " + curve.missing));
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
