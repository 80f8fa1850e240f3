#include "Command/ComparisonPlate.h"

#include "Text/Number.h"

#include <array>
#include <cmath>
#include <filesystem>

namespace volvelle {

namespace {

constexpr std::array drawnCurves{"on_axis", "listening_window", "early_reflections", "sound_power"};

std::string nameOf(const ComparedRun& run, bool isAligned) {
    std::string name = std::filesystem::path(run.path).filename().string();
    if (!run.unitSerial.empty()) name += ", serial " + run.unitSerial;
    if (isAligned && run.shiftDb != 0 && std::isfinite(run.shiftDb))
        name += ", shifted by " + fixedText(run.shiftDb, 2) + " dB";
    return name;
}

}  // namespace

OverlayPlate comparisonPlate(const Comparison& comparison) {
    OverlayPlate plate;
    plate.words.title =
        "Comparison of " + shortestText(static_cast<double>(comparison.runs.size())) + " runs";
    plate.words.subtitle = "Drive " + comparison.drive + " \xC2\xB7 axis " +
                           significantText(comparison.axisDeg, 4) + "° \xC2\xB7 " +
                           comparison.runs.front().levelStatement;
    plate.words.statements = comparison.remarks;
    plate.words.notes = comparison.notes;
    const std::string& fingerprint = comparison.runs.front().fingerprint;
    plate.words.origin = fingerprint.empty() ? "run not stated" : "run A " + fingerprint.substr(0, 12);
    plate.words.programVersion = comparison.programVersion;
    plate.frequencyHz = comparison.frequencyHz;
    plate.valid = comparison.valid;
    for (const ComparedRun& run : comparison.runs) plate.runs.push_back(nameOf(run, comparison.isAligned));
    for (const char* key : drawnCurves)
        for (const ComparedLevels& curve : comparison.curves)
            if (curve.key == key)
                plate.curves.push_back({curve.title, "Level, dB", curve.levelDb, curve.missing});
    return plate;
}

}  // namespace volvelle
