#include "Command/RunBench.h"

#include "Chamber/Scene.h"
#include "Clock/SimulatedClock.h"
#include "Clock/SystemClock.h"
#include "Run/PlanAngles.h"
#include "Text/Error.h"
#include "Text/TextFile.h"
#include "Text/Version.h"

#include <chrono>

#if __has_include(<malloc.h>)
#include <malloc.h>
#endif

namespace volvelle {

namespace {

std::int64_t millisecondsNow() {
    const auto now = std::chrono::system_clock::now().time_since_epoch();
    return std::chrono::duration_cast<std::chrono::milliseconds>(now).count();
}

std::unique_ptr<Clock> clockFor(bool realPace) {
    if (realPace) return std::make_unique<SystemClock>();
    return std::make_unique<SimulatedClock>(millisecondsNow());
}

}  // namespace

PlannedRun readPlannedRun(const std::string& path, std::optional<int> seed) {
    PlannedRun planned{path, parsePlan(readTextFile(path), path), {}};
    planned.set = angleSetOf(planned.plan, path);
    if (!seed) return planned;
    if (planned.plan.simulationJson.empty())
        throw Error(ErrorKind::usage, "is for simulated chambers, but the plan has none", "--seed",
                    "Leave it out");
    planned.plan.simulationJson = sceneWithSeed(planned.plan.simulationJson, *seed);
    return planned;
}

RunBench::RunBench(const PlannedRun& planned, bool realPace) : clock_(clockFor(realPace)) {
    const std::string& json = planned.plan.simulationJson;
    if (json.empty())
        throw Error(ErrorKind::device, "names no equipment that this version can use", planned.path,
                    "Give the plan a simulated chamber: see simulation in Docs/chamber.md");
    const Scene scene = parseScene(json, planned.path, "/simulation");
    checkScene(scene, planned.plan, planned.path);
    chamber_ = std::make_unique<SimulatedChamber>(planned.plan, scene, static_cast<std::uint64_t>(scene.seed),
                                                  *clock_);
}

Equipment RunBench::equipment() {
    return {chamber_->turntable(), chamber_->audioPath(), chamber_->attendant(), *clock_,
            [this] { return chamber_->airNow(); }};
}

RunRecord headNow(const PlannedRun& planned, RunBench& bench, const std::string& commandLine) {
    Provenance provenance;
    provenance.programVersion = programVersion();
    provenance.commandLine = commandLine;
    provenance.utc = bench.clock().utc();
    return headOf(planned.plan, bench.equipment().audio.facts(), provenance);
}

void keepMemoryTogether() {
#ifdef M_MMAP_THRESHOLD
    mallopt(M_MMAP_THRESHOLD, 64 * 1024);
#endif
}

}  // namespace volvelle
