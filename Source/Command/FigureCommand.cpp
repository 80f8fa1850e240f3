#include "Command/Results.h"
#include "Command/Shell.h"
#include "Families/MakeFamily.h"
#include "Text/Error.h"

#include <memory>

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
    writeFigures(makeFamily(run, line.drive, recipe, jobs), kind, line.svg, line.png, line.force);
}

}  // namespace

void addFigure(CLI::App& app, Shell& shell) {
    auto line = std::make_shared<FigureLine>();
    CLI::App* sub = app.add_subcommand("figure", "Draw a drive's family, directivity, impulse or distortion");
    sub->add_option("RUN", line->run, "A sealed run")->required();
    sub->add_option("--kind", line->kind, "family, map, polar, impulse or distortion")->required();
    sub->add_option("--drive", line->drive, "Its drive: front, rear, front+rear")->required();
    sub->add_option("--recipe", line->recipe, "JSON: windows, grid, smoothing (Docs/recipe.md)");
    sub->add_option("--svg", line->svg, "The drawing to write");
    sub->add_option("--png", line->png, "The picture to write");
    sub->add_flag("--force", line->force, "Replace result files that exist");
    sub->add_option("--jobs", line->jobs, "Threads (default: one for each processor)");
    sub->callback([line, &shell] { shell.chosen = [line] { carryOut(*line); }; });
}

}  // namespace volvelle
