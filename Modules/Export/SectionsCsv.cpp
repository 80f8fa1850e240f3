#include "Export/SectionsCsv.h"

#include "Export/Comments.h"
#include "Text/Csv.h"
#include "Text/Nearest.h"
#include "Text/Number.h"

namespace volvelle {

namespace {

void commentSettings(CsvWriter& csv, const Interaction& interaction) {
    csv.comment("sections: " + listed(interaction.sections));
    csv.comment(
        "sum: complex pressures of the sections measured alone, per volt (or full scale) of the "
        "excitation; power sum: their squared pressures");
    const auto settings = settingStatements(interaction.settings, interaction.sections);
    if (settings.empty()) csv.comment("settings: as measured");
    for (const std::string& setting : settings) csv.comment("setting: " + setting);
    if (!settings.empty())
        csv.comment(
            "the difference is that of the measured drive to this trial, and not the interaction alone");
}

void commentColumns(CsvWriter& csv, const Interaction& interaction) {
    csv.comment(
        "units: frequency_hz in Hz; whole_db, sum_db, power_sum_db in dB as under level (indices in dB, "
        "sound_power_level in dB re 1 pW); *_deg in degrees against time zero, e^(+jwt), propagation "
        "included");
    csv.comment(
        "difference_re_loudest_db: |whole - sum|, floor_re_loudest_db: what would be seen of sections "
        "that do not interact; both re the whole in its loudest direction at that frequency");
    csv.comment(
        "level_difference_db, phase_difference_deg: whole less sum; of positions empty where the whole is "
        "more than 30 dB under its loudest direction");
    csv.comment("floor: " + interaction.floorStatement);
}

void commentMissing(CsvWriter& csv, const Interaction& interaction) {
    for (const SummedCurve& curve : interaction.curves) {
        if (!curve.derivation.empty()) csv.comment("derived: " + curve.key + ": " + curve.derivation);
        if (!curve.missing.empty()) csv.comment("missing: " + curve.key + ": " + curve.missing);
    }
    for (const SummedPosition& position : interaction.positions)
        if (!position.missing.empty()) csv.comment("missing: " + position.at.name + ": " + position.missing);
}

void addRows(CsvWriter& csv, const Interaction& interaction, const SummedCurve& curve) {
    for (std::size_t i = 0; i < interaction.frequencyHz.size(); ++i)
        csv.row({"curve", curve.key, significantText(interaction.frequencyHz[i], 9),
                 fixedCell(curve.wholeDb[i], 4), "", fixedCell(curve.sumDb[i], 4), "",
                 fixedCell(curve.powerSumDb[i], 4), "", "", fixedCell(curve.wholeDb[i] - curve.sumDb[i], 4),
                 ""});
}

void addRows(CsvWriter& csv, const Interaction& interaction, const SummedPosition& p) {
    for (std::size_t i = 0; i < interaction.frequencyHz.size(); ++i)
        csv.row({"position", p.at.name, significantText(interaction.frequencyHz[i], 9),
                 fixedCell(p.wholeDb[i], 4), fixedCell(p.wholeDeg[i], 3), fixedCell(p.sumDb[i], 4),
                 fixedCell(p.sumDeg[i], 3), fixedCell(p.powerSumDb[i], 4), fixedCell(p.differenceDb[i], 4),
                 fixedCell(p.floorDb[i], 4), fixedCell(p.levelDifferenceDb[i], 4),
                 fixedCell(p.phaseDifferenceDeg[i], 3)});
}

}  // namespace

std::string sectionsCsv(const Interaction& interaction) {
    CsvWriter csv;
    const Family& head = interaction.head;
    csv.comment("volvelle sections: a drive measured as a whole against the sum of its sections");
    commentOrigin(csv, {head.programVersion, head.runPath, head.runFingerprint, head.unitModel,
                        head.unitSerial, head.drive});
    csv.comment("axis: horizontal " + significantText(head.axisDeg, 6) +
                " degrees: curves are about it, positions are the unit's directions");
    csv.comment("level: " + statedOr(head.levelStatement));
    commentSettings(csv, interaction);
    commentColumns(csv, interaction);
    csv.comment("recipe: " + statedOr(head.recipeJson));
    commentValidity(csv, head.validity);
    commentMissing(csv, interaction);
    for (const std::string& note : interaction.notes) csv.comment("note: " + note);
    csv.row({"kind", "name", "frequency_hz", "whole_db", "whole_deg", "sum_db", "sum_deg", "power_sum_db",
             "difference_re_loudest_db", "floor_re_loudest_db", "level_difference_db",
             "phase_difference_deg"});
    for (const SummedCurve& curve : interaction.curves) addRows(csv, interaction, curve);
    for (const SummedPosition& position : interaction.positions) addRows(csv, interaction, position);
    return csv.text();
}

}  // namespace volvelle
