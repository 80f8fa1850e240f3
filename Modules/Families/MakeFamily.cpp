#include "Families/MakeFamily.h"

#include "Families/AxisDetails.h"
#include "Families/Beamwidth.h"
#include "Families/DerivedCurves.h"
#include "Families/Distortion.h"
#include "Families/FamilyNotes.h"
#include "Families/Grids.h"
#include "Families/PositionSums.h"
#include "Families/ValidityOf.h"
#include "Response/WindowedPressures.h"
#include "Run/OpenRun.h"
#include "Signal/ParallelFor.h"
#include "Text/Version.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <numbers>
#include <thread>
#include <utility>

namespace volvelle {

namespace {

/// One drive of one run and the recipe in force.
struct Subject {
    const RunRecord& run;
    const DriveRecord& drive;
    const ResolvedRecipe& recipe;
    double axisDeg;
};

PositionSums sumsFor(const Subject& subject, const OrbitIndex& index, const Grids& grids) {
    PositionSums sums;
    sums.computedHz = grids.computedHz;
    sums.wantedHz = grids.wantedHz;
    sums.smoothing = subject.recipe.recipe.smoothing;
    const auto weights = subject.recipe.recipe.powerWeights;
    for (const CurveDefinition& definition : curveDefinitions(weights))
        sums.curves.push_back(curveSum(definition, index));
    const auto step = index.completeStepDeg();
    if (step && *step < 10) sums.curves.push_back(curveSum(soundPowerOfAllAngles(*step, weights), index));
    for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical}) {
        for (const auto& entry : index.orbit(orbit)) sums.levelDb[entry.position];
        for (const double pole : {0.0, 180.0})  // both stances, to be compared
            if (const auto position = index.measuredOn(orbit, pole)) sums.levelDb[*position];
    }
    sums.axisPosition = index.at(Orbit::horizontal, 0);
    return sums;
}

Curve finished(const CurveSum& sum, const PositionSums& sums) {
    Curve curve;
    curve.key = sum.definition.key;
    curve.title = sum.definition.title;
    for (const WeightedAngle& a : sum.definition.angles)
        curve.positions.push_back({positionName(directionOn(a.orbit, a.angleDeg), a.orbit), a.weight});
    if (sum.missing.empty())
        curve.levelDb = levelOf(sum.power, sums);
    else {
        curve.levelDb.assign(sums.wantedHz.size(), notStated);
        curve.missing = missingPositions(sum.missing);
    }
    return curve;
}

bool liesOn(Orbit orbit, std::size_t position, const OrbitIndex& index) {
    const auto& entries = index.orbit(orbit);
    return std::any_of(entries.begin(), entries.end(),
                       [&](const auto& entry) { return entry.position == position; });
}

/// Takes the levels over, the horizontal orbit's first: those that serve for both orbits (0°, 180°) stay for the
/// other.
DirectivityMap mapOf(Orbit orbit, const OrbitIndex& index, PositionSums& sums) {
    DirectivityMap map;
    map.orbit = orbit;
    for (const auto& entry : index.orbit(orbit)) {
        auto& level = sums.levelDb.at(entry.position);
        map.angleDeg.push_back(entry.angleDeg);
        const bool stays = orbit == Orbit::horizontal && liesOn(Orbit::vertical, entry.position, index);
        map.levelDb.push_back(stays ? level : std::move(level));
    }
    std::vector<double> levels(map.angleDeg.size());
    const double widest = widestStepDeg(map.angleDeg);
    for (std::size_t f = 0; f < sums.wantedHz.size(); ++f) {
        for (std::size_t a = 0; a < levels.size(); ++a) levels[a] = double{map.levelDb[a][f]};
        map.beamwidthDeg.push_back(beamwidthDeg(map.angleDeg, levels, widest));
    }
    return map;
}

/// Nothing is told outside the band that was excited.
template <typename Number>
void blankOutside(const Band& excited, const std::vector<double>& frequencyHz, std::vector<Number>& values) {
    const Band band = excitedGrid(excited);
    for (std::size_t i = 0; i < values.size(); ++i)
        if (frequencyHz[i] < band.lowHz || frequencyHz[i] > band.highHz)
            values[i] = std::numeric_limits<Number>::quiet_NaN();
}

void blankOutside(Family& family) {
    const auto blank = [&](auto& v) {
        blankOutside(family.validity.excited, family.frequencyHz, v);
    };
    for (Curve& curve : family.curves) blank(curve.levelDb);
    for (DirectivityMap* map : {&family.horizontal, &family.vertical}) {
        for (auto& level : map->levelDb) blank(level);
        blank(map->beamwidthDeg);
    }
    blank(family.onAxisPhaseDeg);
    blank(family.onAxisGroupDelayS);
}

Family headOf(const Subject& subject, const Band& excited) {
    Family family;
    family.drive = subject.drive.name;
    family.axisDeg = subject.axisDeg;
    family.levelStatement = levelStatement(subject.run, subject.drive);
    family.recipe = subject.recipe.recipe;
    family.recipe.axisDeg = subject.axisDeg;
    if (subject.drive.form != CaptureForm::textResponse) family.earliestArrivalS = subject.recipe.arrivalS;
    family.recipeJson = recipeAsJson(family.recipe);
    family.unitModel = subject.run.plan.unitModel;
    family.unitSerial = subject.run.plan.unitSerial;
    family.validity = validityOf(subject.run, subject.drive, subject.recipe, excited);
    return family;
}

/// One drive's family under way: first its positions, then what is made of their sums.
class FamilyWork {
public:
    FamilyWork(const Subject& subject, std::unique_ptr<Pressures> pressures, const Grids& grids,
               const Band& excited)
        : subject_(subject),
          pressures_(std::move(pressures)),
          excited_(excited),
          index_(pressures_->positions(), subject.axisDeg),
          sums_(sumsFor(subject, index_, grids)) {}

    void computePositions(int jobs) {
        addPositions(sums_, *pressures_, subject_.recipe.recipe.subtractNoise, jobs);
    }

    /// All curves and maps, once; what concerns the axis alone is added by the callers.
    Family family();

    Pressures& pressures() { return *pressures_; }
    const MeasuredPosition* axis() const {
        return sums_.axisPosition ? &pressures_->positions()[*sums_.axisPosition] : nullptr;
    }

private:
    void addMeasured(Family& family) const;

    Subject subject_;
    std::unique_ptr<Pressures> pressures_;
    Band excited_;
    OrbitIndex index_;
    PositionSums sums_;
};

Family FamilyWork::family() {
    Family family = headOf(subject_, excited_);
    family.frequencyHz = sums_.wantedHz;
    for (const CurveSum& sum : sums_.curves) family.curves.push_back(finished(sum, sums_));
    addDerivedCurves(family, subject_.run.air);
    family.notes = subject_.recipe.notes;
    const auto& fromPressures = pressures_->notes();
    family.notes.insert(family.notes.end(), fromPressures.begin(), fromPressures.end());
    addNotes(family, subject_.run, subject_.drive, pressures_->positions(), index_, sums_.levelDb);
    family.horizontal = mapOf(Orbit::horizontal, index_, sums_);
    family.vertical = mapOf(Orbit::vertical, index_, sums_);
    addMeasured(family);
    return family;
}

void FamilyWork::addMeasured(Family& family) const {
    if (axis() == nullptr) {
        family.onAxisMissing = "no capture on the axis of the drive";
        return;
    }
    const Capture& capture = subject_.drive.captures[axis()->captures.front()];
    family.polarity =
        std::isfinite(capture.quality.polarity) ? static_cast<int>(capture.quality.polarity) : 0;
    family.validity.noiseDb = noiseShareDb(capture, subject_.recipe);
}

/// Seconds after time zero up to which the whole response was recorded: where it was made with an excitation,
/// what was recorded after that one's end.
double recordedToS(const DriveRecord& drive, const Capture& capture) {
    double samples = static_cast<double>(drive.samplesPerChannel);
    if (drive.form == CaptureForm::recording)
        samples -= static_cast<double>(drive.excitation.samples.size());
    const double zero = capture.quality.loopbackDelayS;
    return samples / drive.sampleRateHz - (std::isfinite(zero) ? zero : 0);
}

/// Phase, group delay, impulse and distortion on the axis, from that position's captures alone.
void addAxis(Family& family, const Subject& subject, const ImpulseSource& source,
             const MeasuredPosition& position) {
    const Capture& capture = subject.drive.captures[position.captures.front()];
    const double arrival =
        std::isfinite(capture.quality.arrivalS) ? capture.quality.arrivalS : subject.recipe.arrivalS;
    const ImpulseMeter meter(source, subject.run, subject.drive, subject.recipe,
                             withNeighbours(family.frequencyHz, subject.drive.sampleRateHz / 2));
    ImpulseMeter::Workspace workspace(meter);
    ImpulseSource::Workspace memory(source);
    std::vector<std::complex<double>> pressure(meter.frequencyHz().size()), other(pressure.size()), onGrid;
    std::span<const float> impulse;
    meanPressure(position.captures, pressure, other,
                 [&](std::size_t number, std::span<std::complex<double>> one) {
                     impulse = source.impulse(number, memory);
                     meter.pressure(impulse, subject.drive.captures[number], workspace, one);
                 });
    addPhase(family, meter.frequencyHz(), pressure, arrival);
    for (std::size_t i = 1; i < pressure.size(); i += 3) onGrid.push_back(pressure[i]);
    if (position.captures.size() > 1) impulse = source.impulse(position.captures.front(), memory);
    family.impulse =
        drawnImpulse(impulse, source.sampleRateHz(), recordedToS(subject.drive, capture), subject.recipe);
    family.impulse.arrivalS = capture.quality.arrivalS;
    family.distortion = distortionOf(source, impulse, arrival, subject.run, subject.drive, capture,
                                     subject.recipe, family.frequencyHz, onGrid);
}

std::size_t numberOf(const RunRecord& run, const DriveRecord& drive) {
    return static_cast<std::size_t>(&drive - run.drives.data());
}

Family textFamily(const ReadableRun& run, const Subject& subject, int jobs) {
    const std::vector<double>& gridHz = subject.drive.frequencyHz;
    FamilyWork work(subject, pressuresOf(run, numberOf(subject.run, subject.drive), subject.recipe),
                    {gridHz, gridHz}, {gridHz.front(), gridHz.back()});
    work.computePositions(jobs);
    Family family = work.family();
    family.distortion.missing = "text responses do not tell harmonics apart";
    if (work.axis() == nullptr) return family;
    std::vector<std::complex<double>> p(gridHz.size());
    work.pressures().at(static_cast<std::size_t>(work.axis() - work.pressures().positions().data()), 0, p);
    for (const auto& value : p)
        family.onAxisPhaseDeg.push_back(
            work.pressures().hasPhase(0) ? std::arg(value) * 180 / std::numbers::pi : notStated);
    return family;
}

Family windowedFamily(const ReadableRun& run, const Subject& subject, int jobs) {
    const Grids grids = gridsOf(subject.recipe.recipe, subject.drive.sampleRateHz);
    auto windowed = std::make_unique<WindowedPressures>(run, numberOf(subject.run, subject.drive),
                                                        subject.recipe, grids.computedHz);
    const ImpulseSource& impulses = windowed->impulses();
    FamilyWork work(subject, std::move(windowed), grids, impulses.band());
    work.computePositions(jobs);
    Family family, axis;
    axis.frequencyHz = grids.wantedHz;
    parallelFor(2, jobs, [&](std::size_t part, int) {
        if (part == 1)
            family = work.family();
        else if (work.axis() != nullptr)
            addAxis(axis, subject, impulses, *work.axis());
    });
    family.onAxisPhaseDeg = std::move(axis.onAxisPhaseDeg);
    family.onAxisGroupDelayS = std::move(axis.onAxisGroupDelayS);
    family.impulse = std::move(axis.impulse);
    family.distortion = std::move(axis.distortion);
    if (work.axis() == nullptr) family.distortion.missing = family.onAxisMissing;
    blankOutside(family);
    return family;
}

void addOrigin(Family& family, const ReadableRun& run) {
    family.runFingerprint = fingerprintOrUnsealed(run);
    family.runPath = run.path();
    family.programVersion = programVersion();
    if (isUnsealed(run)) family.notes.push_back(unsealedNote);
}

}  // namespace

double axisOf(const RunRecord& run, const DriveRecord& drive, const Recipe& recipe) {
    if (recipe.axisDeg) return *recipe.axisDeg;
    const DrivePlan* planned = plannedDrive(run.plan, drive.name);
    return planned != nullptr ? planned->axisDeg : 0;
}

Family makeFamily(const ReadableRun& run, const std::string& drive, const Recipe& recipe, int jobs) {
    const RunRecord& record = run.record();
    const DriveRecord& driveRecord = driveNamed(record, drive);
    // Beside the rest, as only to ask takes milliseconds.
    const std::jthread ahead([&] { run.readAhead(numberOf(record, driveRecord)); });
    const ResolvedRecipe resolved = resolveRecipe(record, recipe);
    const Subject subject{record, driveRecord, resolved, axisOf(record, driveRecord, recipe)};
    Family family = driveRecord.form == CaptureForm::textResponse ? textFamily(run, subject, jobs)
                                                                  : windowedFamily(run, subject, jobs);
    addOrigin(family, run);
    return family;
}

std::vector<Family> makeFamilies(std::span<const KeptImpulses* const> drives, const Recipe& recipe,
                                 int jobs) {
    std::vector<Family> families(drives.size());
    if (drives.empty()) return families;
    const ReadableRun& run = drives.front()->run();
    const ResolvedRecipe resolved = resolveRecipe(run.record(), recipe);
    std::shared_ptr<SharedWindows> windows;
    std::vector<FamilyWork> works;
    for (const KeptImpulses* kept : drives) {
        const DriveRecord& drive = run.record().drives.at(kept->drive());
        const Subject subject{run.record(), drive, resolved, axisOf(run.record(), drive, recipe)};
        const Grids grids = gridsOf(resolved.recipe, drive.sampleRateHz);
        if (!windows || windows->spectrum.sampleRateHz() != drive.sampleRateHz)
            windows = std::make_shared<SharedWindows>(resolved, grids.computedHz, drive.sampleRateHz);
        works.emplace_back(subject,
                           std::make_unique<KeptPressures>(*kept, resolved, windows, grids.computedHz),
                           grids, kept->source().band());
        works.back().computePositions(jobs);
    }
    parallelFor(works.size(), jobs, [&](std::size_t i, int) {
        families[i] = works[i].family();
        families[i].distortion.missing = "not computed from kept impulses";
        blankOutside(families[i]);
        addOrigin(families[i], run);
    });
    return families;
}

}  // namespace volvelle
