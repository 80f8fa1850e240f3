#include "Sections/HeldSections.h"

#include "Families/MakeFamily.h"
#include "Families/OrbitIndex.h"
#include "Families/PositionSums.h"
#include "Families/ValidityOf.h"
#include "Response/Corrections.h"
#include "Response/TextPressures.h"
#include "Response/WindowedPressures.h"
#include "Signal/ParallelFor.h"
#include "Text/Error.h"
#include "Text/Number.h"
#include "Text/Version.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <utility>

namespace volvelle {

namespace {

using Rows = std::vector<std::optional<std::size_t>>;  ///< a drive's position for each held one

/// One drive being read.
struct Reading {
    std::size_t number;
    std::vector<MeasuredPosition> positions;
    std::unique_ptr<Pressures> pressures;
    const ImpulseSource* impulses = nullptr;  ///< none for text responses
};

Stance stanceOf(const DriveRecord& drive, const MeasuredPosition& position) {
    return drive.captures[position.captures.front()].stance;
}

/// The same position of another drive: in the same direction, on the same orbit, in the same stance.
std::optional<std::size_t> sameIn(const std::vector<MeasuredPosition>& positions, const DriveRecord& drive,
                                  const MeasuredPosition& wanted, Stance stance) {
    for (std::size_t p = 0; p < positions.size(); ++p)
        if (positions[p].orbit == wanted.orbit && stanceOf(drive, positions[p]) == stance &&
            sameDirection(positions[p].direction, wanted.direction))
            return p;
    return std::nullopt;
}

/// Every position of any drive once, those of the first drive first, and where each drive has it.
std::vector<MeasuredPosition> joined(const RunRecord& run, const std::vector<Reading>& readings,
                                     std::vector<Rows>& rows) {
    std::vector<MeasuredPosition> all;
    std::vector<Stance> stances;
    for (std::size_t r = 0; r < readings.size(); ++r) {
        const DriveRecord& drive = run.drives[readings[r].number];
        std::vector<char> taken(readings[r].positions.size());
        for (std::size_t p = 0; p < all.size(); ++p) {
            rows[r].push_back(sameIn(readings[r].positions, drive, all[p], stances[p]));
            if (rows[r].back()) taken[*rows[r].back()] = 1;
        }
        for (std::size_t p = 0; p < taken.size(); ++p) {
            if (taken[p]) continue;
            all.push_back(readings[r].positions[p]);
            stances.push_back(stanceOf(drive, all.back()));
            rows[r].emplace_back(p);
        }
    }
    for (Rows& row : rows) row.resize(all.size());
    return all;
}

Grids commonGrids(const RunRecord& run, const std::vector<std::size_t>& drives, const Recipe& recipe) {
    const DriveRecord& first = run.drives[drives.front()];
    double rateHz = first.sampleRateHz;
    for (const std::size_t d : drives) {
        const DriveRecord& drive = run.drives[d];
        if ((drive.form == CaptureForm::textResponse) != (first.form == CaptureForm::textResponse) ||
            drive.frequencyHz != first.frequencyHz)
            throw Error(ErrorKind::input, "has other frequencies than drive " + first.name,
                        "drive " + drive.name, "Take in text responses of all drives on one grid");
        rateHz = std::min(rateHz, drive.sampleRateHz);
    }
    if (first.form == CaptureForm::textResponse) return {first.frequencyHz, first.frequencyHz};
    return gridsOf(recipe, rateHz);
}

Reading opened(const ReadableRun& run, std::size_t number, const ResolvedRecipe& recipe, const Grids& grids) {
    Reading reading;
    reading.number = number;
    if (run.record().drives[number].form == CaptureForm::textResponse) {
        reading.pressures = std::make_unique<TextPressures>(run, number, recipe);
    } else {
        auto windowed = std::make_unique<WindowedPressures>(run, number, recipe, grids.computedHz);
        reading.impulses = &windowed->impulses();
        reading.pressures = std::move(windowed);
    }
    reading.positions = reading.pressures->positions();
    return reading;
}

/// Noise in the pressure that at() gave last; not a number where the capture has no quiet stretch to tell.
void readNoise(Pressures& pressures, std::size_t position, int worker, std::span<double> out) {
    try {
        pressures.noisePower(position, worker, out);
    } catch (const Error& error) {
        if (error.kind() != ErrorKind::input) throw;
        std::ranges::fill(out, notStated);
    }
}

void readPressures(HeldDrive& held, Reading& reading, const Rows& rows, std::size_t points, int jobs) {
    reading.pressures->prepare(jobs);
    const bool hasImpulses = reading.impulses != nullptr;
    held.pressure.assign(rows.size() * points, 0);
    if (hasImpulses) held.noise.assign(rows.size() * points, notStated);
    parallelFor(rows.size(), jobs, [&](std::size_t p, int worker) {
        if (!rows[p]) return;
        reading.pressures->at(*rows[p], worker, std::span(held.pressure).subspan(p * points, points));
        if (!reading.pressures->hasPhase(worker))
            throw Error(ErrorKind::input, "has levels without phases", "drive " + held.name,
                        "Complex sums need responses with phase");
        if (hasImpulses)
            readNoise(*reading.pressures, *rows[p], worker, std::span(held.noise).subspan(p * points, points));
    });
    if (std::ranges::all_of(held.noise, [](double n) { return std::isnan(n); })) held.noise.clear();
}

HeldDrive readDrive(const ReadableRun& run, Reading& reading, const Rows& rows, const ResolvedRecipe& recipe,
                    const Grids& grids, double scale, int jobs) {
    const DriveRecord& record = run.record().drives[reading.number];
    run.readAhead(reading.number);
    HeldDrive held;
    held.name = record.name;
    readPressures(held, reading, rows, grids.computedHz.size(), jobs);
    if (reading.impulses != nullptr) {
        CaptureScatter scatter =
            captureScatter(run, reading.number, *reading.impulses, recipe, grids.computedHz, rows, jobs);
        held.scatter = std::move(scatter.repeats);
        held.drifts = std::move(scatter.drifts);
    }
    for (auto& p : held.pressure) p *= scale;
    for (auto* power : {&held.noise, &held.scatter})
        for (double& p : *power) p *= scale * scale;
    for (const auto& row : rows) {
        const Capture* capture = row ? &record.captures[reading.positions[*row].captures.front()] : nullptr;
        held.present.push_back(row.has_value());
        held.temperatureC.push_back(capture ? capture->air.temperatureC : notStated);
        held.distanceM.push_back(capture ? capture->distanceM : notStated);
        held.timeS.push_back(capture ? timeOf(*capture) : notStated);
    }
    return held;
}

/// Peak of the excitation in full scale; not a number where there is none.
double peakOf(const DriveRecord& drive) {
    double peak = notStated;
    for (const float v : drive.excitation.samples) peak = std::fmax(peak, std::abs(double{v}));
    return peak;
}

void addNotes(HeldSections& held, const RunRecord& run, const DriveParts& parts) {
    auto& notes = held.notes;
    if (held.recipe.subtractNoise)
        notes.push_back(
            "noise is not subtracted here, although the recipe asks: sums are of complex pressures");
    const double peak = peakOf(run.drives[parts.whole]);
    for (const std::size_t d : parts.parts) {
        const double step = 20 * std::log10(peakOf(run.drives[d]) / peak);
        if (std::abs(step) > 0.1)
            notes.push_back("drive " + run.drives[d].name + " was excited " + fixedText(std::abs(step), 1) +
                            " dB " + (step > 0 ? "above" : "below") + " " + run.drives[parts.whole].name +
                            ": what depends on level shows as interaction");
    }
    std::vector<const HeldDrive*> drives{&held.whole};
    for (const HeldDrive& part : held.parts) drives.push_back(&part);
    for (const HeldDrive* drive : drives) {
        const auto lacking = std::count(drive->present.begin(), drive->present.end(), 0);
        if (lacking > 0)
            notes.push_back("drive " + drive->name + " lacks " + shortestText(static_cast<double>(lacking)) +
                            " of " + shortestText(static_cast<double>(held.positions.size())) + " positions");
    }
}

/// Origin, level and validity, of the band that all drives have in common.
Family headOf(const ReadableRun& run, const DriveParts& parts, const ResolvedRecipe& recipe,
              const HeldSections& held) {
    const RunRecord& record = run.record();
    Family head;
    head.drive = record.drives[parts.whole].name;
    head.axisDeg = held.axisDeg;
    head.levelStatement = levelStatement(record, record.drives[parts.whole]);
    head.frequencyHz = held.grids.wantedHz;
    head.recipe = held.recipe;
    head.recipeJson = recipeAsJson(held.recipe);
    head.unitModel = record.plan.unitModel;
    head.unitSerial = record.plan.unitSerial;
    head.runFingerprint = run.fingerprint();
    head.runPath = run.path();
    head.programVersion = programVersion();
    Band band = excitedOf(record.drives[parts.whole]);
    for (const std::size_t d : parts.parts) {
        const Band own = excitedOf(record.drives[d]);
        band = {std::max(band.lowHz, own.lowHz), std::min(band.highHz, own.highHz)};
    }
    head.validity = validityOf(record, record.drives[parts.whole], recipe, band);
    return head;
}

std::vector<MeasuredPosition> withFlags(const HeldSections& held, const std::vector<char>& present,
                                        std::vector<std::size_t>& numbers) {
    std::vector<MeasuredPosition> chosen;
    for (std::size_t p = 0; p < held.positions.size(); ++p) {
        if (!present[p]) continue;
        chosen.push_back(held.positions[p]);
        numbers.push_back(p);
    }
    return chosen;
}

}  // namespace

HeldSections holdSections(const ReadableRun& run, const DriveParts& parts, const Recipe& recipe, int jobs) {
    const RunRecord& record = run.record();
    std::vector<std::size_t> drives{parts.whole};
    drives.insert(drives.end(), parts.parts.begin(), parts.parts.end());
    const ResolvedRecipe resolved = resolveRecipe(record, recipe);

    HeldSections held;
    held.sections = parts.sections;
    held.grids = commonGrids(record, drives, resolved.recipe);
    held.axisDeg = axisOf(record, record.drives[parts.whole], recipe);
    held.recipe = resolved.recipe;
    held.recipe.axisDeg = held.axisDeg;
    held.air = record.air;
    std::vector<Reading> readings;
    for (const std::size_t d : drives) readings.push_back(opened(run, d, resolved, held.grids));
    std::vector<Rows> rows(drives.size());
    held.positions = joined(record, readings, rows);
    // Pressures are per reference input of their own drive; here all are per that of the combined one.
    const double whole = referenceInput(record, record.drives[parts.whole]).value;
    for (std::size_t i = 0; i < drives.size(); ++i) {
        const double scale = whole / referenceInput(record, record.drives[drives[i]]).value;
        HeldDrive drive = readDrive(run, readings[i], rows[i], resolved, held.grids, scale, jobs);
        if (i == 0)
            held.whole = std::move(drive);
        else
            held.parts.push_back(std::move(drive));
    }
    held.head = headOf(run, parts, resolved, held);
    held.notes = resolved.notes;
    const auto& fromPressures = readings.front().pressures->notes();
    held.notes.insert(held.notes.end(), fromPressures.begin(), fromPressures.end());
    addNotes(held, record, parts);
    return held;
}

std::vector<HeldCurve> heldCurves(const HeldSections& held, const std::vector<char>& present) {
    std::vector<std::size_t> numbers;
    const auto positions = withFlags(held, present, numbers);
    const OrbitIndex index(positions, held.axisDeg);
    auto definitions = curveDefinitions(held.recipe.powerWeights);
    if (const auto step = index.completeStepDeg(); step && *step < 10)
        definitions.push_back(soundPowerOfAllAngles(*step, held.recipe.powerWeights));
    std::vector<HeldCurve> curves;
    for (const CurveDefinition& definition : definitions) {
        const CurveSum sum = curveSum(definition, index);
        HeldCurve curve{definition, sum.missing, {}};
        for (const auto& [position, weight] : sum.weightOf)
            curve.weights.emplace_back(numbers[position], weight);
        curves.push_back(std::move(curve));
    }
    return curves;
}

}  // namespace volvelle
