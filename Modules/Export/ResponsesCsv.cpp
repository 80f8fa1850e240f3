#include "Export/ResponsesCsv.h"

#include "Text/Csv.h"
#include "Text/Number.h"

namespace volvelle {

std::string responsesCsv(const std::vector<std::string>& comments, const std::vector<double>& frequencyHz,
                         const std::vector<PositionResponse>& responses) {
    CsvWriter csv;
    for (const std::string& comment : comments) csv.comment(comment);
    csv.row({"frequency_hz", "position", "level_db", "phase_deg"});
    const auto cell = [](const std::vector<double>& values, std::size_t i, int decimals) {
        return i < values.size() ? fixedCell(values[i], decimals) : std::string();
    };
    for (const PositionResponse& response : responses)
        for (std::size_t i = 0; i < frequencyHz.size(); ++i)
            csv.row({significantText(frequencyHz[i], 9), response.position, cell(response.levelDb, i, 4),
                     cell(response.phaseDeg, i, 3)});
    return csv.text();
}

}  // namespace volvelle
