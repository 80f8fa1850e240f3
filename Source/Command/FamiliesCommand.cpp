#include "Command/Results.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Export/FamilyCsv.h"
#include "Export/FamilyJson.h"
#include "Families/MakeFamily.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <fmt/core.h>

#include <memory>
#include <vector>

namespace volvelle {

namespace {

struct FamiliesLine {
    std::string run, drive, recipe, jobs;
    std::string csv, svg, png, json;
    bool complete = false, force = false;
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
    checkResults({line.csv, line.svg, line.png, line.json}, line.force);
    const SealedRun run(line.run, diskFiles());
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
    sub->add_option("RUN.h5", line->run, "A sealed run")->required();
    const auto option = [&](const char* name, std::string& value, const char* type, const char* meaning) {
        return sub->add_option(name, value, meaning)->type_name(type);
    };
    option("--drive", line->drive, "NAME", "Its drive: front, rear, front+rear ...")->required();
    option("--recipe", line->recipe, "RECIPE.json", "Windows, grid, smoothing (Docs/recipe.md)");
    option("--csv", line->csv, "FILE", "Write the curves as CSV");
    option("--json", line->json, "FILE", "Write them as JSON, with positions and weights");
    option("--svg", line->svg, "FILE", "Draw the family as SVG");
    option("--png", line->png, "FILE", "Draw the family as PNG");
    option("--jobs", line->jobs, "N", "Threads (where not given: one for each processor)");
    sub->add_flag("--complete", line->complete, "Refuse families with empty curves (exit code 5)");
    sub->add_flag("--force", line->force, "Replace result files that exist");
    sub->callback([line, &shell] { shell.chosen = [line] { carryOut(*line); }; });
}

}  // namespace volvelle
