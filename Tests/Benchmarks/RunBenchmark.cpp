// A run at the pace of a real chamber: its wall time over what sweeps, decays, moves and settling take by themselves. At most
// 1.01: judging and keeping a capture goes on while the next one plays. The counter is `overhead`, as each run prints it.

#include "Chamber/Scene.h"
#include "Chamber/SimulatedChamber.h"
#include "Clock/SystemClock.h"
#include "Conductor/Conductor.h"
#include "Text/TextFile.h"

#include <benchmark/benchmark.h>

#include <algorithm>
#include <filesystem>
#include <string>

namespace volvelle {

namespace {

/// The demonstration's unit of two sections on four positions, three drives.
Plan quickPlan() {
    const std::string path = VOLVELLE_DATASETS "/demo/front-rear.json";
    Plan plan = parsePlan(readTextFile(path), path);
    plan.angles.set = "horizontal-90";
    plan.conduct.axisCheckEvery = 0;
    return plan;
}

void runAtRealPace(benchmark::State& state) {
    const Plan plan = quickPlan();
    const Scene scene = parseScene(plan.simulationJson, "plan", "/simulation");
    const auto folder = std::filesystem::temp_directory_path() / "volvelle-run-benchmark";
    double overhead = 0;
    for (auto _ : state) {
        std::filesystem::remove_all(folder);
        std::filesystem::create_directory(folder);
        SystemClock clock;
        SimulatedChamber chamber(plan, scene, 1, clock);
        const Equipment equipment{chamber.turntable(), chamber.audioPath(), chamber.attendant(), clock,
                                  [&] { return chamber.airNow(); }};
        const auto captures = CapturesUnderWay::begin((folder / "run.h5").string(),
                                                      headOf(plan, equipment.audio.facts(), {}), diskFiles());
        RunWatcher nobody;
        const RunAccount account =
            conduct(plan, angleSet(plan.angles.set, plan.table.hasTilt), equipment, *captures, {}, nobody, {});
        overhead = std::max(overhead, account.overhead());
    }
    std::filesystem::remove_all(folder);
    state.counters["overhead"] = overhead;
}

BENCHMARK(runAtRealPace)->Unit(benchmark::kSecond)->Iterations(1)->UseRealTime();

}  // namespace

}  // namespace volvelle
