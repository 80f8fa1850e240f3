#include "Command/Results.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Families/MakeFamily.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <memory>
#include <vector>

namespace volvelle {

namespace {

struct FigureLine {
    std::string run, drive, recipe, kind, svg, png, jobs;
    bool force = false;
};

void carryOut(const FigureLine& line) {
    const FigureKind kind = figureKindNamed(line.kind);
    const Recipe recipe = recipeFrom(line.recipe);
    const int jobs = jobsOf(line.jobs);
    if (line.svg.empty() && line.png.empty())
        throw Error(ErrorKind::usage, "no file to draw to", "figure", "Give --svg, --png or both");
    checkResults({line.svg, line.png}, line.force);
    const SealedRun run(line.run, diskFiles());
    std::vector<ResultFile> results;
    addFigures(results, makeFamily(run, line.drive, recipe, jobs), kind, line.svg, line.png);
    writeResultFiles(results, line.force);
    tellWritten(results);
}

}  // namespace

void addFigure(CLI::App& app, Shell& shell) {
    auto line = std::make_shared<FigureLine>();
    CLI::App* sub = app.add_subcommand("figure", "Draw a drive's family, directivity, impulse or distortion");
    sub->add_option("RUN.h5", line->run, "A sealed run")->required();
    const auto option = [&](const char* name, std::string& value, const char* type, const char* meaning) {
        return sub->add_option(name, value, meaning)->type_name(type);
    };
    option("--kind", line->kind, "KIND", "family, map, polar, impulse or distortion")->required();
    option("--drive", line->drive, "NAME", "Its drive: front, rear, front+rear ...")->required();
    option("--svg", line->svg, "FILE", "Draw it as SVG");
    option("--png", line->png, "FILE", "Draw it as PNG");
    option("--recipe", line->recipe, "RECIPE.json", "Windows, grid, smoothing (Docs/recipe.md)");
    sub->add_flag("--force", line->force, "Replace result files that exist");
    option("--jobs", line->jobs, "N", "Threads (where not given: one for each processor)");
    sub->callback([line, &shell] { shell.chosen = [line] { carryOut(*line); }; });
}

}  // namespace volvelle
