#include "Command/ComparisonPlate.h"
#include "Command/EmptyCurves.h"
#include "Command/Results.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Comparison/Comparison.h"
#include "Export/ComparisonCsv.h"
#include "Figures/Words.h"
#include "Run/OpenRun.h"
#include "Text/Error.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

namespace volvelle {

namespace {

struct CompareLine : ResultLine {
    std::vector<std::string> runs;
    std::string csv, svg, png;
    bool isAligned = false;
};

void printRuns(const Comparison& comparison) {
    say(wrapped(fmt::format("Drive {}, axis {}°; differences are to A", comparison.drive,
                            significantText(comparison.axisDeg, 4))));
    for (const ComparedRun& run : comparison.runs) {
        std::string text = run.path + ", serial " + (run.unitSerial.empty() ? "not stated" : run.unitSerial) +
                           ", polarity " + polarityName(run.polarity);
        if (comparison.isAligned && run.shiftDb != 0 && std::isfinite(run.shiftDb))
            text += ", levels shifted by " + fixedText(run.shiftDb, 3) + " dB";
        say(wrapped(run.label + ": " + text, 3));
    }
    if (comparison.isAligned && !comparison.alignedOn.empty())
        say(wrapped("Levels are aligned on the mean difference of " + comparison.alignedOn));
    for (const std::string& remark : comparison.remarks) say(wrapped(capitalised(remark)));
}

void printRun(const Comparison& comparison, std::size_t r) {
    const std::string& label = comparison.runs[r].label;
    say(fmt::format("\n{} less A, dB\n\n{:<36}{:>9}{:>10}{:>9}\n", label, "", "largest", "at Hz", "rms"));
    for (const ComparedLevels& curve : comparison.curves) {
        const auto& differs = curve.differs[r];
        if (differs)
            say(fmt::format("{:<36}{:>9}{:>10}{:>9}\n", curve.title, fixedText(differs->largestDb, 2),
                            fixedText(differs->atHz, 0), fixedText(differs->rmsDb, 2)));
    }
    if (const auto& worst = comparison.worst[r]; worst && worst->differenceDb != 0)
        say("\n" + wrapped(fmt::format("Worst single direction of {}: {}, {} dB at {} Hz, where A has {} dB",
                                       label, worst->position, fixedText(worst->differenceDb, 2),
                                       fixedText(worst->frequencyHz, 0), fixedText(worst->levelDb, 1))));
}

/// The curves without a difference, once for all runs.
void printEmpty(const Comparison& comparison) {
    std::vector<std::pair<std::string, std::string>> empty;
    for (const ComparedLevels& curve : comparison.curves) {
        const bool isEmpty = std::none_of(curve.differs.begin(), curve.differs.end(),
                                          [](const auto& differs) { return differs.has_value(); });
        if (!curve.missing.empty() || isEmpty)
            empty.emplace_back(curve.title,
                               curve.missing.empty() ? "no valid frequency in common" : curve.missing);
    }
    if (!empty.empty()) say("\n" + emptyCurvesText(empty));
}

void print(const Comparison& comparison) {
    printRuns(comparison);
    const Band& valid = comparison.valid;
    say(wrapped(valid.lowHz < valid.highHz ? "Valid for all from " + hertz(valid.lowHz) + " to " + hertz(valid.highHz)
                                           : "There is no frequency at which all are valid"));
    for (std::size_t r = 1; r < comparison.runs.size(); ++r) printRun(comparison, r);
    printEmpty(comparison);
}

void carryOut(const CompareLine& line) {
    const Recipe recipe = recipeFrom(line.recipe);
    const int jobs = jobsOf(line.jobs);
    const bool draws = !line.svg.empty() || !line.png.empty();
    if (draws && line.runs.size() > mostDrawnRuns)
        throw Error(ErrorKind::usage,
                    fmt::format("{} runs cannot be drawn over each other", line.runs.size()), "compare",
                    fmt::format("Name at most {}, or leave out --svg and --png", mostDrawnRuns));
    checkResults({{"--csv", line.csv}, {"--svg", line.svg}, {"--png", line.png}}, line.force);
    std::vector<std::unique_ptr<ReadableRun>> opened;
    std::vector<const ReadableRun*> runs;
    for (const std::string& path : line.runs) {
        opened.push_back(openRun(path, diskFiles()));
        runs.push_back(opened.back().get());
    }
    const Comparison comparison = compareRuns(runs, line.drive, recipe, line.isAligned, jobs);
    std::vector<ResultFile> results;
    if (!line.csv.empty()) results.push_back({line.csv, comparisonCsv(comparison)});
    if (draws) addPlate(results, comparisonPlate(comparison), line.svg, line.png);
    writeResultFiles(results, line.force);
    print(comparison);
    tellWritten(results);
}

}  // namespace

void addCompare(CLI::App& app, Shell& shell) {
    auto line = std::make_shared<CompareLine>();
    CLI::App* sub = app.add_subcommand(
        "compare", "Hold the curves and single directions of several runs against each other");
    sub->add_option("RUN.h5", line->runs, "Two runs or more; differences are to the first")
        ->required()
        ->expected(1, -1);
    addText(*sub, "--drive", line->drive, "NAME", "The drive (where not given: the only one in common)");
    sub->add_flag("--level-aligned", line->isAligned, "Take out each run's mean difference of level");
    addText(*sub, "--csv", line->csv, "FILE", "Write curves, directions and differences as CSV");
    addText(*sub, "--svg", line->svg, "FILE", "Draw the main curves over each other as SVG");
    addText(*sub, "--png", line->png, "FILE", "Draw them as PNG");
    addMaking(*sub, *line);
    sub->callback([line, &shell] { shell.chosen = [line] { carryOut(*line); }; });
}

}  // namespace volvelle
