#include "Command/NewPlan.h"
#include "Command/PlanSurvey.h"
#include "Command/PlanPicture.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Run/PlanFaults.h"
#include "Text/Error.h"
#include "Text/TextFile.h"

#include <fmt/format.h>

#include <memory>

namespace volvelle {

namespace {

struct NewLine {
    NewPlanOptions plan;
    std::string sections, outputPath;
};

std::vector<std::string> partsAtCommas(const std::string& text) {
    std::vector<std::string> parts{""};
    for (const char c : text) {
        if (c == ',')
            parts.emplace_back();
        else
            parts.back() += c;
    }
    return parts;
}

void makePlan(NewLine line) {
    if (!line.sections.empty()) line.plan.sections = partsAtCommas(line.sections);
    const std::string text = newPlan(line.plan);
    if (line.outputPath.empty()) return say(text);
    writeNewTextFile(line.outputPath, text);
    say(wrapped(
        fmt::format("{0} is written. Complete the lines marked FILL IN, then: volvelle plan check {0}",
                    line.outputPath)));
}

/// One fault is the error; of several the list is printed and the first is the error.
void refuse(const std::vector<Error>& faults, const std::string& path) {
    if (faults.empty()) return;
    const Error& first = faults.front();
    if (faults.size() == 1) throw first;
    say(wrapped(fmt::format("{} cannot be carried out yet:", path)));
    for (const Error& fault : faults)
        say(wrapped(fmt::format("- {}{}. {}", fault.where() == path ? "" : fault.where() + ": ",
                                fault.problem(), fault.advice())));
    throw Error(first.kind(), fmt::format("{} (the first of {} faults)", first.problem(), faults.size()),
                first.where(), first.advice());
}

void checkPlan(const std::string& path, const std::string& runPath) {
    const Plan plan = parsePlan(readTextFile(path), path);
    refuse(faultsOf(plan, path), path);
    say(planSurvey(plan, path, runPath));
}

void addNew(CLI::App& app, Shell& shell) {
    auto line = std::make_shared<NewLine>();
    CLI::App* sub = app.add_subcommand("new", "Write a commented plan to complete");
    const auto option = [&](const char* name, std::string& value, const char* type, const char* meaning) {
        sub->add_option(name, value, meaning)->type_name(type);
    };
    option("--angles", line->plan.angles, "SET",
           "on-axis, horizontal-N, two-orbits-10 (where not given), two-orbits-5, two-orbits-2, sphere-10 or "
           "sphere-5");
    option("--unit", line->plan.model, "TEXT", "Model of the unit");
    option(
        "--sections", line->sections, "NAMES",
        "Its sections, like front,rear: each is a drive, and so are all together (where not given: whole)");
    sub->add_flag("--tilt", line->plan.hasTilt,
                  "The table has a second axis, so the unit is never turned over");
    option("--out", line->outputPath, "PLAN.json",
           "The file to write, never replacing one (where not given: print it)");
    sub->callback([line, &shell] { shell.chosen = [line] { makePlan(*line); }; });
}

void addCheck(CLI::App& app, Shell& shell) {
    auto path = std::make_shared<std::string>(), run = std::make_shared<std::string>("run.h5");
    CLI::App* sub = app.add_subcommand("check", "Say what is wrong with a plan, or what its run will take");
    sub->add_option("PLAN.json", *path, "The plan (Docs/plan.md)")->required();
    sub->add_option("--out", *run,
                    "Where the run would lie (where not given: in this folder); nothing is written")
        ->type_name("RUN.h5");
    sub->callback([path, run, &shell] { shell.chosen = [path, run] { checkPlan(*path, *run); }; });
}

}  // namespace

void addPlan(CLI::App& app, Shell& shell) {
    CLI::App* sub = app.add_subcommand("plan", "Write a plan, check one, or draw how its table turns");
    sub->require_subcommand(1);
    addNew(*sub, shell);
    addCheck(*sub, shell);
    addPlanPicture(*sub, shell);
}

}  // namespace volvelle
