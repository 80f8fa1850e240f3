#include "Export/ResponsesCsv.h"

#include "Text/Csv.h"
#include "Text/Number.h"

namespace volvelle {

std::string responsesCsv(const TableOrigin& origin, const PositionResponses& found) {
    CsvWriter csv;
    TableOrigin ofDrive = origin;
    ofDrive.drive = found.drive;
    csv.comment("volvelle responses");
    commentOrigin(csv, ofDrive);
    csv.comment("level: " + statedOr(found.levelStatement));
    csv.comment("phase: degrees against time zero, e^(+jwt), propagation included");
    csv.comment("recipe: " + statedOr(found.recipeJson));
    commentValidity(csv, found.validity);
    for (const std::string& doubt : found.doubts) csv.comment("doubtful: " + doubt);
    for (const std::string& note : found.notes) csv.comment("note: " + note);
    const std::vector<double>& frequencyHz = found.frequencyHz;
    csv.row({"frequency_hz", "position", "level_db", "phase_deg"});
    const auto cell = [](const std::vector<double>& values, std::size_t i, int decimals) {
        return i < values.size() ? fixedCell(values[i], decimals) : std::string();
    };
    for (const PositionResponse& response : found.responses)
        for (std::size_t i = 0; i < frequencyHz.size(); ++i)
            csv.row({significantText(frequencyHz[i], 9), response.position, cell(response.levelDb, i, 4),
                     cell(response.phaseDeg, i, 3)});
    return csv.text();
}

}  // namespace volvelle
