#include "Export/FamilyCsv.h"

#include "Export/Comments.h"
#include "Export/FamilyColumns.h"
#include "Text/Csv.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <cmath>

namespace volvelle {

namespace {

void commentHead(CsvWriter& csv, const Family& family) {
    csv.comment("volvelle family of curves after ANSI/CTA-2034-A");
    commentOrigin(csv, {family.programVersion, family.runPath, family.runFingerprint, family.unitModel,
                        family.unitSerial, family.drive});
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

void commentDistortion(CsvWriter& csv, const Distortion& distortion) {
    if (distortion.orders.empty()) return;
    csv.comment("distortion: harmonic_*_percent and total_harmonic_distortion_percent were measured with a " +
                (distortion.drivenAt.empty() ? "level that is not stated" : distortion.drivenAt) +
                ", not at the voltage under level");
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
    commentHead(csv, family);
    commentUnits(csv);
    commentDistortion(csv, family.distortion);
    csv.comment("recipe: " + statedOr(family.recipeJson));
    if (std::isfinite(family.earliestArrivalS))
        csv.comment("the recipe's window times count from the earliest arrival, " +
                    fixedText(1000 * family.earliestArrivalS, 3) + " ms after time zero");
    commentValidity(csv, family.validity);
    csv.comment("polarity of the first arrival on the axis: " + polarityName(family.polarity));
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
