#include "Export/ComparisonCsv.h"

#include "Export/Comments.h"
#include "Text/Csv.h"
#include "Text/Number.h"

#include <cmath>
#include <filesystem>

namespace volvelle {

namespace {

std::string bandText(const Band& band) {
    if (!(band.lowHz < band.highHz)) return "nowhere";
    return significantText(band.lowHz, 6) + " Hz to " + significantText(band.highHz, 6) + " Hz";
}

void commentRun(CsvWriter& csv, const Comparison& comparison, const ComparedRun& run) {
    csv.comment("run " + run.label + ": " + statedOr(std::filesystem::path(run.path).filename().string()) +
                ", fingerprint " + statedOr(run.fingerprint) + ", unit " + statedOr(run.unitModel) +
                ", serial " + statedOr(run.unitSerial));
    csv.comment("level of " + run.label + ": " + statedOr(run.levelStatement));
    csv.comment("polarity of " + run.label +
                ", of the first arrival on the axis: " + polarityName(run.polarity));
    csv.comment("valid for " + run.label + ": " + bandText(run.validity.valid()));
    if (comparison.isAligned && std::isfinite(run.shiftDb) && &run != &comparison.runs.front())
        csv.comment("aligned: " + fixedText(run.shiftDb, 4) + " dB are added to the levels of " + run.label +
                    " (mean difference of " + comparison.alignedOn + " over the valid frequencies)");
}

std::string lowerCase(std::string label) {
    for (char& c : label)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return label;
}

std::vector<std::string> header(const Comparison& comparison) {
    std::vector<std::string> cells{"kind", "name", "frequency_hz"};
    for (const ComparedRun& run : comparison.runs) cells.push_back(lowerCase(run.label) + "_db");
    for (std::size_t r = 1; r < comparison.runs.size(); ++r)
        cells.push_back(lowerCase(comparison.runs[r].label) + "_minus_a_db");
    return cells;
}

void addRows(CsvWriter& csv, const Comparison& comparison, const char* kind, const ComparedLevels& levels) {
    for (std::size_t f = 0; f < comparison.frequencyHz.size(); ++f) {
        std::vector<std::string> cells{kind, levels.key, significantText(comparison.frequencyHz[f], 9)};
        for (const auto& level : levels.levelDb) cells.push_back(fixedCell(level[f], 4));
        for (std::size_t r = 1; r < comparison.runs.size(); ++r)
            cells.push_back(fixedCell(levels.differenceDb[r][f], 4));
        csv.row(cells);
    }
}

}  // namespace

std::string comparisonCsv(const Comparison& comparison) {
    CsvWriter csv;
    csv.comment("volvelle comparison of runs; differences are to run A");
    csv.comment("program version: " + statedOr(comparison.programVersion));
    csv.comment("drive: " + comparison.drive);
    csv.comment("axis: horizontal " + significantText(comparison.axisDeg, 6) +
                " degrees; curves are relative to it, positions are the unit's directions");
    for (const ComparedRun& run : comparison.runs) commentRun(csv, comparison, run);
    csv.comment(
        "units: frequency_hz in Hz; *_db in dB as under level (indices in dB, sound_power_level in dB re "
        "1 pW)");
    csv.comment("empty cells are not known; differences stand only where all runs are valid: " +
                bandText(comparison.valid));
    csv.comment("recipe: " + statedOr(comparison.recipeJson));
    for (const std::string& remark : comparison.remarks) csv.comment("remark: " + remark);
    for (const auto* group : {&comparison.curves, &comparison.positions})
        for (const ComparedLevels& levels : *group)
            if (!levels.missing.empty()) csv.comment("missing: " + levels.key + ": " + levels.missing);
    for (const std::string& note : comparison.notes) csv.comment("note: " + note);
    csv.row(header(comparison));
    for (const ComparedLevels& curve : comparison.curves) addRows(csv, comparison, "curve", curve);
    for (const ComparedLevels& position : comparison.positions)
        addRows(csv, comparison, "position", position);
    return csv.text();
}

}  // namespace volvelle
