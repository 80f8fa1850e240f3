#include "Run/PlanFaults.h"

#include "Quantities/ReferencePressure.h"
#include "Run/PlanAngles.h"
#include "Run/SweepPlan.h"
#include "Run/TableGeometry.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace volvelle {
namespace {

constexpr double lowestSweepHz = 20, highestSweepHz = 20000;

class Faults {
public:
    explicit Faults(const std::string& source) : source_(source) {}

    void add(const std::string& problem, const std::string& advice) {
        add(Error(ErrorKind::input, problem, source_, advice));
    }

    /// Adds what the work throws.
    template <typename Work>
    void during(Work work) {
        try {
            work();
        } catch (const Error& error) {
            if (error.kind() != ErrorKind::input) throw;
            add(error);
        }
    }

    std::vector<Error> found;

private:
    void add(const Error& error) {
        const auto isSame = [&](const Error& other) { return other.problem() == error.problem(); };
        if (std::none_of(found.begin(), found.end(), isSame)) found.push_back(error);
    }

    const std::string& source_;
};

void checkStated(const Plan& plan, Faults& faults) {
    if (std::isnan(plan.distanceM))
        faults.add("/distance_m is missing",
                   "State the distance from the microphone to the reference point at 0°");
    if (std::isnan(plan.pascalPerFullScale))
        faults.add("/calibration/pascal_per_full_scale is missing",
                   "Calibrate the microphone channel and state the sound pressure of full scale");
    if (std::isnan(plan.voltsPerFullScale) && plan.driveQuantity != DriveQuantity::digitalFullScale)
        faults.add("/calibration/volts_per_full_scale is missing",
                   "State how many volts a sample value of 1.0 makes at a section without gain");
    if (plan.sections.empty())
        faults.add("/unit/sections is missing", "List the sections of the unit, at least one");
    if (plan.drives.empty()) faults.add("/drives is missing", "List which sections play together");
}

bool plays(const DrivePlan& drive, const std::string& section) {
    return std::find(drive.sections.begin(), drive.sections.end(), section) != drive.sections.end();
}

bool plays(const Plan& plan, const std::string& section) {
    return std::any_of(plan.drives.begin(), plan.drives.end(),
                       [&](const DrivePlan& drive) { return plays(drive, section); });
}

bool statesEdges(const DrivePlan& drive) {
    return !std::isnan(drive.sweep.startHz) && !std::isnan(drive.sweep.endHz);
}

/// Nothing is swept with a guess: a limit stands with the section or with each drive that plays it.
void checkLimits(const Plan& plan, Faults& faults) {
    for (std::size_t i = 0; i < plan.sections.size(); ++i) {
        const SectionPlan& section = plan.sections[i];
        for (const auto& drive : plan.drives) {
            if (!plays(drive, section.name)) continue;
            if (std::isnan(section.lowHz) && !statesEdges(drive))
                faults.add(
                    fmt::format("/unit/sections/{}/band_hz is missing", i),
                    "State the band that its drivers bear, or both edges in the sweep of each drive that "
                    "plays it");
            if (std::isnan(section.voltageLimit) && std::isnan(drive.sweep.peakV))
                faults.add(fmt::format("/unit/sections/{}/voltage_limit_v is missing", i),
                           "State what its drivers bear, or peak_v in the sweep of each drive that plays it");
        }
    }
}

/// Where what it is made of is stated: each lack has its own fault.
void checkSweep(const Plan& plan, const DrivePlan& drive, const std::string& planPath, Faults& faults) {
    for (const auto& section : plan.sections)
        if (plays(drive, section.name) &&
            ((std::isnan(section.lowHz) && !statesEdges(drive)) ||
             (std::isnan(section.voltageLimit) && std::isnan(drive.sweep.peakV))))
            return;
    faults.during([&] { resolvedSweep(plan, drive, planPath); });
}

void checkChannels(const Plan& plan, Faults& faults) {
    std::map<int, std::string> users;
    if (plan.audio.loopbackOutput > 0) users[plan.audio.loopbackOutput] = "the loopback";
    for (std::size_t i = 0; i < plan.sections.size(); ++i) {
        const SectionPlan& section = plan.sections[i];
        const std::string pointer = fmt::format("/unit/sections/{}/output_channels", i);
        if (section.outputChannels.empty() && plays(plan, section.name))
            faults.add(pointer + " is missing", fmt::format("State the channels that feed {}", section.name));
        for (const int channel : section.outputChannels) {
            const auto [user, isNew] = users.emplace(channel, section.name);
            if (!isNew)
                faults.add(
                    fmt::format("{} names channel {}, which feeds {} too", pointer, channel, user->second),
                    "Give each a channel of its own");
        }
    }
}

void checkPositions(const Plan& plan, const std::string& planPath, Faults& faults) {
    faults.during([&] {
        const AngleSet set = angleSetOf(plan, planPath);
        for (const auto& position : set.positions) {
            poseOf(position, plan.table, planPath);
            if (!std::isnan(plan.distanceM)) placementOf(position, plan, planPath);
        }
    });
}

bool isCalibrated(const Plan& plan) {
    return std::any_of(plan.instruments.begin(), plan.instruments.end(),
                       [](const Instrument& i) { return !i.serial.empty() && !i.calibratedOn.empty(); });
}

struct Edges {
    double lowHz, highHz;
};

/// The union of the bands of the sections that play, as far as they are stated and a sweep goes.
Edges unionOf(const Plan& plan, const DrivePlan& drive) {
    Edges all{highestSweepHz, lowestSweepHz};
    for (const auto& section : plan.sections) {
        if (!plays(drive, section.name) || std::isnan(section.lowHz)) continue;
        all.lowHz = std::min(all.lowHz, std::max(section.lowHz, lowestSweepHz));
        all.highHz = std::max(all.highHz, std::min(section.highHz, highestSweepHz));
    }
    return all;
}

/// A drive that is judged only where all its sections may play.
void noteNarrowSweeps(const Plan& plan, std::vector<std::string>& open) {
    for (const auto& drive : plan.drives) {
        ResolvedSweep sweep{};
        try {
            sweep = resolvedSweep(plan, drive);
        } catch (const Error&) {
            continue;  // one of the faults
        }
        const Edges all = unionOf(plan, drive);
        if (!(all.lowHz < all.highHz)) continue;
        const double lost = std::max(0.0, std::log2(sweep.startHz / all.lowHz)) +
                            std::max(0.0, std::log2(all.highHz / sweep.endHz));
        if (lost <= 1) continue;
        open.push_back(
            fmt::format("drive {}: it is swept from {} to {} Hz only, where its sections' bands go from {} "
                        "to {} Hz; sections that play behind their crossovers may state the whole band",
                        drive.name, shortestText(sweep.startHz), shortestText(sweep.endHz),
                        shortestText(all.lowHz), shortestText(all.highHz)));
    }
}

}  // namespace

std::vector<Error> faultsOf(const Plan& plan, const std::string& planPath) {
    Faults faults(planPath);
    checkStated(plan, faults);
    checkChannels(plan, faults);
    checkLimits(plan, faults);
    for (const auto& drive : plan.drives) checkSweep(plan, drive, planPath, faults);
    checkPositions(plan, planPath, faults);
    return std::move(faults.found);
}

std::vector<std::string> openMattersOf(const Plan& plan) {
    std::vector<std::string> open;
    const auto note = [&](bool stated, const char* text) {
        if (!stated) open.emplace_back(text);
    };
    note(std::isfinite(plan.conduct.levelLimitDb),
         "conduct.level_limit_db: no sound, however loud, ends the run");
    if (const double fullScaleDb = 20 * std::log10(plan.pascalPerFullScale / referencePressurePa);
        plan.conduct.levelLimitDb > fullScaleDb)
        open.push_back(
            fmt::format("conduct.level_limit_db: it lies above full scale of the microphone's channel, a "
                        "peak of {} dB, which no recording can pass",
                        fixedText(fullScaleDb, 1)));
    note(isCalibrated(plan),
         "calibration.instruments with serial and date: levels have no traceable calibration");
    note(plan.air.isStated(), "air: levels and distances in time are taken at 20 °C, unless sensors tell");
    note(plan.audio.loopbackInput > 0,
         "audio.loopback_input: time zero is the start of excitation, sums of drives need your word for it");
    note(!(plan.audio.decayS < shortestUsefulDecayS),
         "audio.decay_s: it is under 0.05 s, so that hardly anything of the decay is recorded");
    note(std::isfinite(plan.unitSizeM), "unit.size_m: nothing is known of the far field");
    note(std::isfinite(plan.referencePointM[0]),
         "unit.reference_point_from_axis_m: it is taken to lie on the rotation axis");
    note(plan.driveQuantity != DriveQuantity::unknown,
         "unit.drive_quantity: levels cannot say what drove the unit");
    note(!plan.unitSerial.empty(), "unit.serial: results cannot say which unit it was");
    note(!plan.unitState.empty(), "unit.state: firmware, preset and volume, or that it has none");
    note(!plan.engineer.empty(), "people.engineer: nobody answers for the run");
    for (const auto& section : plan.sections) {
        if (!plays(plan, section.name)) continue;
        if (std::isnan(section.voltageLimit))
            open.push_back(fmt::format("voltage_limit_v of section {}: only its sweeps' peaks protect it",
                                       section.name));
        if (std::isnan(section.lowHz))
            open.push_back(
                fmt::format("band_hz of section {}: only its sweeps' edges protect it", section.name));
    }
    noteNarrowSweeps(plan, open);
    return open;
}

}  // namespace volvelle
