#include "Command/Results.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Export/ResponsesCsv.h"
#include "Families/PositionResponses.h"
#include "Run/OpenRun.h"
#include "Text/Version.h"

#include <fmt/core.h>

#include <memory>

namespace volvelle {

namespace {

struct ResponsesLine : ResultLine {
    std::string csv;
    std::vector<std::string> positions;
};

void carryOut(const ResponsesLine& line) {
    const Recipe recipe = recipeFrom(line.recipe);
    const int jobs = jobsOf(line.jobs);
    checkResults({{"--csv", line.csv}}, line.force);
    const auto opened = openRun(line.run, diskFiles());
    const ReadableRun& run = *opened;
    PositionResponses found = positionResponses(run, line.drive, recipe, line.positions, jobs);
    if (isUnsealed(run)) found.notes.push_back(unsealedNote);
    const Plan& plan = run.record().plan;
    const TableOrigin origin{programVersion(), run.path(),      fingerprintOrUnsealed(run),
                             plan.unitModel,   plan.unitSerial, found.drive};
    writeResultFile(line.csv, responsesCsv(origin, found), line.force);
    say(wrapped(fmt::format("{} position{} at {} frequencies: {}", found.responses.size(),
                            found.responses.size() == 1 ? "" : "s", found.frequencyHz.size(), line.csv)));
}

}  // namespace

void addResponses(CLI::App& app, Shell& shell) {
    auto line = std::make_shared<ResponsesLine>();
    CLI::App* sub = app.add_subcommand("responses", "Level and phase at single positions");
    addRunAndDrive(*sub, *line);
    addText(*sub, "--csv", line->csv, "FILE", "The file to write")->required();
    sub->add_option("--position", line->positions,
                    "One or more, like horizontal:50, vertical:-30 or azimuth:30,elevation:20; where not "
                    "given: all")
        ->expected(1, -1)
        ->type_name("POSITION ...");
    addMaking(*sub, *line);
    sub->callback([line, &shell] { shell.chosen = [line] { carryOut(*line); }; });
}

}  // namespace volvelle
