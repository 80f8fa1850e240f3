#pragma once

#include "Chamber/SimulatedChamber.h"
#include "Clock/Clock.h"
#include "Conductor/Conductor.h"
#include "Run/Plan.h"
#include "Run/RunRecord.h"
#include "Sphere/AngleSet.h"

#include <memory>
#include <optional>
#include <string>

namespace volvelle {

/// A plan file as it was read, with its angle set.
struct PlannedRun {
    std::string path;
    Plan plan;
    AngleSet set;
};

/// Reads a plan. seed: replaces that of its simulation. Throws Error{input}; Error{usage} for a seed where nothing
/// is simulated.
PlannedRun readPlannedRun(const std::string& path, std::optional<int> seed);

/// What a plan is carried out with: the chamber that it simulates.
class RunBench {
public:
    /// realPace: time passes as in a chamber, else at once. Throws Error{device} where the plan names no equipment
    /// that there is, Error{input} for a simulation that does not fit the plan.
    RunBench(const PlannedRun& planned, bool realPace);

    Equipment equipment();
    Clock& clock() { return *clock_; }

private:
    std::unique_ptr<Clock> clock_;
    std::unique_ptr<SimulatedChamber> chamber_;
};

/// The head of a run that begins now. Throws as headOf does.
RunRecord headNow(const PlannedRun& planned, RunBench& bench, const std::string& commandLine);

/// Before a long run, for the whole process: large buffers come and go with every capture; they get pages of their
/// own from now on, so that what is kept of each capture does not lie scattered between them (memory would grow by ten
/// times as much). Does nothing where the system's allocator does not offer it.
void keepMemoryTogether();

}  // namespace volvelle
