#include "Export/FamilyCsv.h"

#include "Export/FamilyColumns.h"
#include "Text/Csv.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <cmath>
#include <filesystem>

namespace volvelle {

namespace {

std::string statedOr(const std::string& text) {
    return text.empty() ? "not stated" : text;
}

std::string hz(double value) {
    return std::isfinite(value) ? significantText(value, 6) + " Hz" : "not stated";
}

void commentOrigin(CsvWriter& csv, const Family& family) {
    csv.comment("volvelle family of curves after ANSI/CTA-2034-A");
    csv.comment("program version: " + statedOr(family.programVersion));
    csv.comment("run: " + statedOr(std::filesystem::path(family.runPath).filename().string()));
    csv.comment("run fingerprint: " + statedOr(family.runFingerprint));
    csv.comment("unit: " + statedOr(family.unitModel) + ", serial " + statedOr(family.unitSerial));
    csv.comment("drive: " + statedOr(family.drive));
    csv.comment("axis: horizontal " + significantText(family.axisDeg, 6) +
                " degrees; positions are relative to it");
    csv.comment("level: " + statedOr(family.levelStatement));
}

void commentUnits(CsvWriter& csv) {
    csv.comment(
        "units: frequency_hz in Hz; *_db in dB as under level; *_di_db in dB; sound_power_level_db in dB re "
        "1 pW; *_deg in "
        "degrees; on_axis_group_delay_ms in ms; *_percent in percent of the fundamental");
    csv.comment(
        "empty cells are not known; beamwidth 'none': the level never falls by 6 dB; phase against time "
        "zero, "
        "e^(+jwt), propagation included");
}

void commentValidity(CsvWriter& csv, const Family& family) {
    const Validity& v = family.validity;
    const Band band = v.valid();
    csv.comment(fmt::format("valid: {} to {}", hz(band.lowHz), hz(band.highHz)));
    csv.comment(
        fmt::format("limits: window resolves down to {}; excited {} to {}; chamber usable from {}; far-field "
                    "conditions up to {}",
                    hz(v.resolutionHz), hz(v.excited.lowHz), hz(v.excited.highHz), hz(v.chamberLowestHz),
                    hz(v.farFieldHz)));
    if (v.noiseDb.empty()) return;
    std::string noise;
    for (const double db : v.noiseDb)
        noise += (noise.empty() ? "" : " ") + (std::isfinite(db) ? fixedText(db, 1) : std::string("unknown"));
    csv.comment("noise in the on-axis curve re its level, octaves from 31.5 Hz up, dB: " + noise);
}

void commentMissing(CsvWriter& csv, const Family& family) {
    for (const Curve& curve : family.curves)
        if (!curve.missing.empty()) csv.comment("missing: " + curve.key + "_db: " + curve.missing);
    if (!family.onAxisMissing.empty())
        csv.comment("missing: on_axis_phase_deg, on_axis_group_delay_ms: " + family.onAxisMissing);
    if (!family.distortion.missing.empty())
        csv.comment("missing: harmonic_*_percent, total_harmonic_distortion_percent: " +
                    family.distortion.missing);
    const std::pair<const DirectivityMap*, const char*> orbits[] = {{&family.horizontal, "horizontal"},
                                                                    {&family.vertical, "vertical"}};
    for (const auto& [map, name] : orbits)
        if (map->angleDeg.empty())
            csv.comment(fmt::format("missing: beamwidth_{}_deg: no positions on the {} orbit", name, name));
}

}  // namespace

std::string familyCsv(const Family& family) {
    CsvWriter csv;
    commentOrigin(csv, family);
    commentUnits(csv);
    csv.comment("recipe: " + statedOr(family.recipeJson));
    commentValidity(csv, family);
    csv.comment("polarity of the first arrival on the axis: " + polarityWord(family.polarity));
    for (const Curve& curve : family.curves)
        if (!curve.derivation.empty()) csv.comment("derived: " + curve.key + "_db: " + curve.derivation);
    commentMissing(csv, family);
    for (const std::string& note : family.notes) csv.comment("note: " + note);

    const auto columns = familyColumns(family);
    std::vector<std::string> cells;
    for (const FamilyColumn& column : columns) cells.push_back(column.name);
    csv.row(cells);
    for (std::size_t i = 0; i < family.frequencyHz.size(); ++i) {
        for (std::size_t c = 0; c < columns.size(); ++c) cells[c] = columns[c].cell(i);
        csv.row(cells);
    }
    return csv.text();
}

}  // namespace volvelle
