#include "Command/Results.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Export/ResponsesCsv.h"
#include "Families/PositionResponses.h"
#include "Run/RunFile.h"

#include <fmt/core.h>

#include <memory>

namespace volvelle {

namespace {

struct ResponsesLine {
    std::string run, drive, recipe, csv, jobs;
    std::vector<std::string> positions;
    bool force = false;
};

void carryOut(const ResponsesLine& line) {
    const Recipe recipe = recipeFrom(line.recipe);
    const int jobs = jobsOf(line.jobs);
    checkResults({line.csv}, line.force);
    const SealedRun run(line.run, diskFiles());
    const PositionResponses found = positionResponses(run, line.drive, recipe, line.positions, jobs);
    std::vector<std::string> comments{"volvelle responses",
                                      "drive: " + line.drive,
                                      "level: " + found.levelStatement,
                                      "phase: degrees against time zero, e^(+jwt), propagation included",
                                      "recipe: " + found.recipeJson,
                                      "run: " + run.fingerprint()};
    for (const std::string& note : found.notes) comments.push_back("note: " + note);
    writeResultFile(line.csv, responsesCsv(comments, found.frequencyHz, found.responses), line.force);
    say(wrapped(fmt::format("{} position{} at {} frequencies: {}", found.responses.size(),
                            found.responses.size() == 1 ? "" : "s", found.frequencyHz.size(), line.csv)));
}

}  // namespace

void addResponses(CLI::App& app, Shell& shell) {
    auto line = std::make_shared<ResponsesLine>();
    CLI::App* sub = app.add_subcommand("responses", "Level and phase at single positions");
    sub->add_option("RUN.h5", line->run, "A sealed run")->required();
    const auto option = [&](const char* name, std::string& value, const char* type, const char* meaning) {
        return sub->add_option(name, value, meaning)->type_name(type);
    };
    option("--drive", line->drive, "NAME", "Its drive: front, rear, front+rear ...")->required();
    option("--csv", line->csv, "FILE", "The file to write")->required();
    sub->add_option("--position", line->positions,
                    "One or more, like horizontal:50, vertical:-30 or azimuth:30,elevation:20; where not "
                    "given: all")
        ->expected(1, -1)
        ->type_name("POSITION ...");
    option("--recipe", line->recipe, "RECIPE.json", "Windows, grid, smoothing (Docs/recipe.md)");
    sub->add_flag("--force", line->force, "Replace a result file that exists");
    option("--jobs", line->jobs, "N", "Threads (where not given: one for each processor)");
    sub->callback([line, &shell] { shell.chosen = [line] { carryOut(*line); }; });
}

}  // namespace volvelle
