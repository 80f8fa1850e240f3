#include "Command/PlanPicture.h"

#include "Command/Results.h"
#include "Figures/TurningFigure.h"
#include "Run/PlanAngles.h"
#include "Text/Error.h"
#include "Text/Number.h"
#include "Text/TextFile.h"
#include "Text/Version.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <memory>
#include <vector>

namespace volvelle {

namespace {

struct PictureLine {
    std::string plan, svg, png;
    bool force = false;
};

std::string limitsText(const TablePlan& table) {
    if (!std::isfinite(table.lowestDeg) || !std::isfinite(table.highestDeg)) return "soft limits not stated";
    return fmt::format("soft limits {}° to {}°", shortestText(table.lowestDeg), shortestText(table.highestDeg));
}

TurningPlate turningPlate(const Plan& plan, const AngleSet& set, const std::string& path) {
    TurningPlate plate;
    plate.words.title = plan.unitModel.empty() ? "Unit's model not stated" : plan.unitModel;
    plate.words.subtitle = fmt::format("{} · {} positions · {}", set.name, set.positions.size(), limitsText(plan.table));
    plate.words.statements = {
        "Horizontal angles grow to the unit's left, vertical ones upwards: a unit turned counter-clockwise shows the "
        "microphone its negative horizontal angles.",
        "Nobody is in the chamber while the table turns or a sweep plays; the emergency stop is within reach; local "
        "codes and licensed practice come first."};
    plate.words.origin = "plan " + std::filesystem::path(path).filename().string();
    plate.words.programVersion = programVersion();
    plate.countsClockwise = plan.table.countsClockwise;
    plate.liesOnLeftSide = plan.table.liesOnLeftSide;
    plate.hasTilt = plan.table.hasTilt;
    plate.laidOnSide = std::any_of(set.positions.begin(), set.positions.end(),
                                   [](const SetPosition& p) { return p.stance == Stance::onSide; });
    plate.distanceM = plan.distanceM;
    plate.referencePointM = plan.referencePointM;
    plate.unitSizeM = plan.unitSizeM;
    if (const std::string words = referencePointWords(plate); !words.empty())
        plate.words.statements.insert(plate.words.statements.begin(), words);
    return plate;
}

void drawPlan(const PictureLine& line) {
    if (line.svg.empty() && line.png.empty())
        throw Error(ErrorKind::usage, "are both missing", "--svg and --png", "Say where to draw");
    checkResults({{"--svg", line.svg}, {"--png", line.png}}, line.force);
    const Plan plan = parsePlan(readTextFile(line.plan), line.plan);
    const TurningPlate plate = turningPlate(plan, angleSetOf(plan, line.plan), line.plan);
    std::vector<ResultFile> results;
    addPlate(results, plate, line.svg, line.png);
    writeResultFiles(results, line.force);
    tellWritten(results);
}

}  // namespace

void addPlanPicture(CLI::App& plan, Shell& shell) {
    auto line = std::make_shared<PictureLine>();
    CLI::App* sub = plan.add_subcommand("picture", "Draw how the table turns the unit, to hold against the chamber");
    sub->add_option("PLAN.json", line->plan, "The plan (Docs/plan.md)")->required();
    addText(*sub, "--svg", line->svg, "FILE", "Draw it as SVG");
    addText(*sub, "--png", line->png, "FILE", "Draw it as PNG");
    sub->add_flag("--force", line->force, "Replace files that exist");
    sub->callback([line, &shell] { shell.chosen = [line] { drawPlan(*line); }; });
}

}  // namespace volvelle
