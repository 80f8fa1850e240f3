#include "Families/PositionResponses.h"

#include "Families/Grids.h"
#include "Families/ValidityOf.h"
#include "Quantities/ReferencePressure.h"
#include "Response/Pressures.h"
#include "Signal/Excitation.h"
#include "Signal/ParallelFor.h"
#include "Signal/Smoothing.h"
#include "Text/Error.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

std::size_t positionNamed(const std::vector<MeasuredPosition>& positions, const std::string& name) {
    const NamedPosition wanted = parsePosition(name);
    for (std::size_t p = 0; p < positions.size(); ++p)
        if (sameDirection(positions[p].direction, wanted.direction) &&
            (!wanted.orbit || positions[p].orbit == wanted.orbit))
            return p;
    for (std::size_t p = 0; p < positions.size(); ++p)
        if (sameDirection(positions[p].direction, wanted.direction)) return p;
    if (positions.empty())
        throw Error(ErrorKind::input, "no capture of the drive serves for a position", "position " + name,
                    "See `volvelle show --captures`; the recipe may leave doubtful ones out");
    const MeasuredPosition& nearest =
        *std::min_element(positions.begin(), positions.end(), [&](const auto& a, const auto& b) {
            return angleBetweenDeg(a.direction, wanted.direction) <
                   angleBetweenDeg(b.direction, wanted.direction);
        });
    throw Error(ErrorKind::usage, "position " + name + " was not measured", "--position",
                "The nearest is " + nearest.name + "; volvelle show --captures lists all");
}

std::vector<std::size_t> chosen(const std::vector<MeasuredPosition>& positions,
                                const std::vector<std::string>& names) {
    std::vector<std::size_t> out;
    for (const std::string& name : names) out.push_back(positionNamed(positions, name));
    if (names.empty())
        for (std::size_t p = 0; p < positions.size(); ++p) out.push_back(p);
    return out;
}

/// Level and phase of pressures on the computing grid, on the wanted one.
void fill(PositionResponse& out, std::span<const std::complex<double>> pressure, bool hasPhase,
          const Grids& grids, int smoothing, const Band& band) {
    std::vector<double> power;
    for (const auto& p : pressure) power.push_back(std::norm(p));
    for (const double p : smoothedPower(grids.computedHz, power, smoothing, grids.wantedHz))
        out.levelDb.push_back(p > 0 ? 10 * std::log10(p / (referencePressurePa * referencePressurePa))
                                    : notStated);
    for (std::size_t i = 0; i < grids.wantedHz.size(); ++i) {
        const auto nearest = std::lower_bound(grids.computedHz.begin(), grids.computedHz.end(),
                                              grids.wantedHz[i] * (1 - 1e-9));
        const bool known = hasPhase && nearest != grids.computedHz.end();
        out.phaseDeg.push_back(
            known ? std::arg(pressure[static_cast<std::size_t>(nearest - grids.computedHz.begin())]) * 180 /
                        std::numbers::pi
                  : notStated);
        if (grids.wantedHz[i] >= band.lowHz && grids.wantedHz[i] <= band.highHz) continue;
        out.levelDb[i] = out.phaseDeg[i] = notStated;
    }
}

}  // namespace

PositionResponses positionResponses(const ReadableRun& run, const std::string& drive, const Recipe& recipe,
                                    const std::vector<std::string>& names, int jobs) {
    const RunRecord& record = run.record();
    const DriveRecord& driveRecord = driveNamed(record, drive);
    const auto number = static_cast<std::size_t>(&driveRecord - record.drives.data());
    const ResolvedRecipe resolved = resolveRecipe(record, recipe);
    const bool text = driveRecord.form == CaptureForm::textResponse;
    Grids grids = text ? Grids{driveRecord.frequencyHz, driveRecord.frequencyHz}
                       : gridsOf(resolved.recipe, driveRecord.sampleRateHz);
    const auto pressures = pressuresOf(run, number, resolved, grids.computedHz);
    const Band band = excitedOf(driveRecord);
    const Band told = driveRecord.form == CaptureForm::recording ? excitedGrid(band) : Band{0, 1e9};
    PositionResponses out;
    out.drive = driveRecord.name;
    out.validity = validityOf(record, driveRecord, resolved, band);
    out.levelStatement = levelStatement(record, driveRecord);
    out.recipeJson = recipeAsJson(resolved.recipe);
    out.notes = resolved.notes;
    out.notes.insert(out.notes.end(), pressures->notes().begin(), pressures->notes().end());
    const auto positions = chosen(pressures->positions(), names);
    out.responses.resize(positions.size());
    pressures->prepare(jobs);
    parallelFor(positions.size(), jobs, [&](std::size_t i, int worker) {
        std::vector<std::complex<double>> pressure(grids.computedHz.size());
        pressures->at(positions[i], worker, pressure);
        out.responses[i].position = pressures->positions()[positions[i]].name;
        fill(out.responses[i], pressure, pressures->hasPhase(worker), grids, resolved.recipe.smoothing, told);
    });
    out.frequencyHz = grids.wantedHz;
    for (const std::size_t p : positions)
        for (const std::size_t c : pressures->positions()[p].captures)
            if (const Capture& capture = driveRecord.captures[c]; capture.state == CaptureState::doubtful)
                out.doubts.push_back(pressures->positions()[p].name + ": " + capture.reason);
    return out;
}

}  // namespace volvelle
