#include "Command/Results.h"
#include "Command/Screen.h"
#include "Command/SectionsPlates.h"
#include "Command/Shell.h"
#include "Export/SectionsCsv.h"
#include "Families/LevelDifference.h"
#include "Figures/Words.h"
#include "Run/OpenRun.h"
#include "Sections/Interaction.h"
#include "Text/Error.h"
#include "Text/Nearest.h"

#include <fmt/core.h>

#include <memory>

namespace volvelle {

namespace {

struct SectionsLine : ResultLine {
    std::string csv, svg, png, mapSvg, mapPng;
    std::vector<std::string> settings;
    bool vouched = false;
};

std::string cell(const std::optional<LevelDifference>& difference, double LevelDifference::*what,
                 int decimals) {
    return difference ? fixedText((*difference).*what, decimals) : "";
}

void printHead(const Interaction& interaction) {
    const Family& head = interaction.head;
    say(wrapped(fmt::format("{} against the sum of {}, axis {}°, {}", head.drive,
                            listed(interaction.sections), significantText(head.axisDeg, 4),
                            head.levelStatement)));
    const auto settings = settingStatements(interaction.settings, interaction.sections);
    for (const std::string& setting : settings) say(wrapped("Trial: " + setting));
    const Band valid = head.validity.valid();
    if (valid.lowHz < valid.highHz)
        say(wrapped("Valid from " + hertz(valid.lowHz) + " to " + hertz(valid.highHz) + ", which all drives have in common"));
}

void printOctaves(const Interaction& interaction) {
    say("\n|whole - sum| over all directions, dB re the whole in its loudest direction\n\n");
    say(fmt::format("{:>14}  {:>8}  {:>8}  {:>8}  {:>8}  {}\n", "Band, Hz", "rms", "floor", "largest",
                    "at Hz", "direction"));
    for (const BandDifference& band : differencePerOctave(interaction))
        say(fmt::format("{:>14}  {:>8}  {:>8}  {:>8}  {:>8}  {}\n",
                        fixedText(band.lowHz, 0) + " - " + fixedText(band.highHz, 0),
                        fixedText(band.rmsDb, 1), fixedCell(band.floorRmsDb, 1), fixedText(band.largestDb, 1),
                        fixedText(band.frequencyHz, 0), band.position));
    say("\n" + wrapped("Floor (rms): " + interaction.floorStatement));
}

void printCurves(const Interaction& interaction) {
    const Band valid = interaction.head.validity.valid();
    say("\nCurves over the valid band, dB\n\n");
    say(fmt::format("{:<30}{:>23}  {:>24}\n", "", "whole less sum", "power sum less sum"));
    say(fmt::format("{:<30}{:>8}{:>8}{:>7}  {:>8}{:>8}{:>8}\n", "", "largest", "at Hz", "rms", "largest",
                    "at Hz", "rms"));
    for (const SummedCurve& curve : interaction.curves) {
        const auto whole = levelDifference(valid, interaction.frequencyHz, curve.wholeDb, curve.sumDb);
        const auto power = levelDifference(valid, interaction.frequencyHz, curve.powerSumDb, curve.sumDb);
        if (!whole && !power) {
            say(wrapped(curve.title + ": empty, " + curve.missing));
            continue;
        }
        say(fmt::format("{:<30}{:>8}{:>8}{:>7}  {:>8}{:>8}{:>8}\n", curve.title,
                        cell(whole, &LevelDifference::largestDb, 2), cell(whole, &LevelDifference::atHz, 0),
                        cell(whole, &LevelDifference::rmsDb, 2), cell(power, &LevelDifference::largestDb, 2),
                        cell(power, &LevelDifference::atHz, 0), cell(power, &LevelDifference::rmsDb, 2)));
    }
}

void print(const Interaction& interaction) {
    printHead(interaction);
    printOctaves(interaction);
    printCurves(interaction);
    if (!interaction.notes.empty()) say("\n");
    for (const std::string& note : interaction.notes) say(wrapped("Note: " + note));
}

void carryOut(const SectionsLine& line) {
    const Recipe recipe = recipeFrom(line.recipe);
    const int jobs = jobsOf(line.jobs);
    checkResults({{"--csv", line.csv},
                  {"--svg", line.svg},
                  {"--png", line.png},
                  {"--map-svg", line.mapSvg},
                  {"--map-png", line.mapPng}},
                 line.force);
    const auto run = openRun(line.run, diskFiles());
    const DriveParts parts = drivePartsOf(run->record(), line.drive, run->path());
    const auto settings = sectionSettings(line.settings, parts.sections);
    requireCommonTimeZero(run->record(), line.vouched, run->path());
    HeldSections held = holdSections(*run, parts, recipe, jobs);
    if (line.vouched)
        held.notes.push_back("whoever made this vouched for a common time zero (--time-zero-is-common)");
    if (isUnsealed(*run)) held.notes.push_back("made of an unsealed run");
    const Interaction interaction = interactionOf(held, settings);
    std::vector<ResultFile> results;
    if (!line.csv.empty()) results.push_back({line.csv, sectionsCsv(interaction)});
    addPlate(results, sectionsPlate(interaction), line.svg, line.png);
    addPlate(results, interactionPlate(interaction), line.mapSvg, line.mapPng);
    writeResultFiles(results, line.force);
    print(interaction);
    tellWritten(results);
}

}  // namespace

void addSections(CLI::App& app, Shell& shell) {
    auto line = std::make_shared<SectionsLine>();
    CLI::App* sub =
        app.add_subcommand("sections", "Hold a drive measured as a whole against the sum of its sections");
    sub->add_option("RUN.h5", line->run, "A run with each section alone and all together")->required();
    addText(*sub, "--drive", line->drive, "NAME",
            "The drive of sections together (where not given: the one that joins all)");
    sub->add_option("--set", line->settings,
                    "Try something on a section: rear.delay=0.3ms, rear.gain=-2dB, rear.polarity=reversed")
        ->expected(1, -1)
        ->type_name("SETTING ...");
    addText(*sub, "--csv", line->csv, "FILE", "Write every curve and position as CSV");
    addText(*sub, "--svg", line->svg, "FILE", "Draw the main curves as SVG");
    addText(*sub, "--png", line->png, "FILE", "Draw the main curves as PNG");
    addText(*sub, "--map-svg", line->mapSvg, "FILE", "Draw the difference over angle and frequency as SVG");
    addText(*sub, "--map-png", line->mapPng, "FILE", "Draw it as PNG");
    sub->add_flag("--time-zero-is-common", line->vouched,
                  "Vouch that all captures share one time zero, where the run does not prove it");
    addMaking(*sub, *line);
    sub->callback([line, &shell] { shell.chosen = [line] { carryOut(*line); }; });
}

}  // namespace volvelle
