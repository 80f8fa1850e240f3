#include "Command/Results.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Families/MakeFamily.h"
#include "Run/OpenRun.h"
#include "Text/Error.h"

#include <memory>
#include <vector>

namespace volvelle {

namespace {

struct FigureLine : ResultLine {
    std::string kind, svg, png;
};

void carryOut(const FigureLine& line) {
    const FigureKind kind = figureKindNamed(line.kind);
    const Recipe recipe = recipeFrom(line.recipe);
    const int jobs = jobsOf(line.jobs);
    if (line.svg.empty() && line.png.empty())
        throw Error(ErrorKind::usage, "no file to draw to", "figure", "Give --svg, --png or both");
    checkResults({{"--svg", line.svg}, {"--png", line.png}}, line.force);
    const auto opened = openRun(line.run, diskFiles());
    const ReadableRun& run = *opened;
    std::vector<ResultFile> results;
    addFigures(results, makeFamily(run, line.drive, recipe, jobs), kind, line.svg, line.png);
    writeResultFiles(results, line.force);
    tellWritten(results);
}

}  // namespace

void addFigure(CLI::App& app, Shell& shell) {
    auto line = std::make_shared<FigureLine>();
    CLI::App* sub = app.add_subcommand("figure", "Draw a drive's family, directivity, impulse or distortion");
    addRunAndDrive(*sub, *line);
    addText(*sub, "--kind", line->kind, "KIND", "family, map, polar, impulse or distortion")->required();
    addText(*sub, "--svg", line->svg, "FILE", "Draw it as SVG");
    addText(*sub, "--png", line->png, "FILE", "Draw it as PNG");
    addMaking(*sub, *line);
    sub->callback([line, &shell] { shell.chosen = [line] { carryOut(*line); }; });
}

}  // namespace volvelle
