#include "Chamber/Scene.h"
#include "Command/DurationText.h"
#include "Command/RunAccountText.h"
#include "Command/RunBench.h"
#include "Command/RunRoom.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Command/Signals.h"
#include "Conductor/Conductor.h"
#include "Conductor/ParentRun.h"
#include "Run/CapturesUnderWay.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <fmt/core.h>
#include <unistd.h>

#include <algorithm>
#include <memory>
#include <optional>
#include <stop_token>
#include <utility>
#include <vector>

namespace volvelle {

namespace {

struct RunOptions {
    std::string plan, out, seed, pace, redo, parent;
    bool resume = false;
};

/// "horizontal:50 front+rear, 34 of 72 positions, 12 min 40 s left: good" on standard error, where that is a
/// terminal; else a line of standard output for each quarter of the way.
class ProgressLine final : public RunWatcher {
public:
    ProgressLine() = default;
    ~ProgressLine() override { screen_.clear(); }
    ProgressLine(const ProgressLine&) = delete;
    ProgressLine& operator=(const ProgressLine&) = delete;

    void progressed(const RunProgress& p) override {
        const std::string way =
            fmt::format("{} of {} positions, {} left", p.positionsDone, p.positions, durationText(p.leftS));
        screen_.show(fmt::format("{} {}, {}: {}", p.position, p.drive, way, p.quality));
        const std::size_t quarter = p.positions > 0 ? 4 * p.positionsDone / p.positions : 0;
        if (!isTerminal_ && quarter > quarter_ && quarter_ != none && quarter < 4) sayNow(wrapped(way));
        quarter_ = quarter;
    }
    void happened(const std::string& event) override {
        screen_.clear();
        sayNow(wrapped(capitalised(event)));
    }
    void clear() const { screen_.clear(); }

private:
    static constexpr std::size_t none = 9;
    Progress screen_;
    bool isTerminal_ = isatty(STDERR_FILENO) == 1;
    std::size_t quarter_ = none;  ///< of the way, at the capture before
};

bool isRealPace(const std::string& pace) {
    if (pace.empty()) return false;
    if (pace == "real") return true;
    throw Error(ErrorKind::usage, "is '" + pace + "'", "--pace", "Write real, or leave it out");
}

std::optional<int> seedOf(const std::string& text) {
    if (text.empty()) return std::nullopt;
    return wholeNumberOf("--seed", text, 0, highestSeed, 1);
}

/// "horizontal:50,vertical:-30"; also azimuth:30,elevation:20.
std::vector<NamedPosition> positionsOf(const std::string& list) {
    std::vector<NamedPosition> positions;
    for (std::size_t begin = 0; begin < list.size();) {
        std::size_t end = std::min(list.find(',', begin), list.size());
        if (list.compare(begin, 8, "azimuth:") == 0) end = std::min(list.find(',', end + 1), list.size());
        positions.push_back(parsePosition(list.substr(begin, end - begin)));
        begin = end + 1;
    }
    return positions;
}

void requireInSet(const std::vector<NamedPosition>& redo, const AngleSet& set) {
    for (const NamedPosition& wanted : redo) {
        const std::string name = positionName(wanted.direction, wanted.orbit);
        const bool known = std::any_of(set.positions.begin(), set.positions.end(), [&](const SetPosition& p) {
            return positionName(p.direction, p.orbit) == name;
        });
        if (!known)
            throw Error(ErrorKind::usage, "is no position of the plan's angle set", "--redo " + name,
                        "Name positions of " + set.name);
    }
}

void requireSamePlan(const Plan& planned, const Plan& begun, const std::string& path) {
    if (planAsJson(planned) == planAsJson(begun)) return;
    Plan reseeded = planned;
    if (!planned.simulationJson.empty() && !begun.simulationJson.empty()) {
        const auto begunSeed = parseScene(begun.simulationJson, path, "/simulation").seed;
        reseeded.simulationJson = sceneWithSeed(planned.simulationJson, begunSeed);
        if (planAsJson(reseeded) == planAsJson(begun))
            throw Error(ErrorKind::input,
                        fmt::format("has another seed than the {} that this run was begun with", begunSeed), path,
                        fmt::format("Go on with --seed {}, or begin another run", begunSeed));
    }
    throw Error(ErrorKind::input, "is not the plan that this run was begun with", path,
                "Go on with the plan as it was (the run keeps it as plan/json), or begin another run");
}

/// What cannot be written does not lose what was.
template <typename Act>
auto keepingTheRest(const Act& act) {
    try {
        return act();
    } catch (const Error& error) {
        if (error.kind() != ErrorKind::output) throw;
        throw Error(error.kind(), error.problem(), error.where(),
                    "Captures before that are saved: make room or mend the disk, then go on with the same command "
                    "and --resume");
    }
}

std::unique_ptr<CapturesUnderWay> capturesFor(const RunOptions& options, const PlannedRun& planned, RunBench& bench,
                                              const std::vector<NamedPosition>& redo, const Shell& shell,
                                              const std::stop_token& stop) {
    const RunRecord head = headNow(planned, bench, shell.commandLine);
    std::unique_ptr<SealedRun> parent;
    if (!options.parent.empty()) {
        parent = std::make_unique<SealedRun>(options.parent, diskFiles());
        requireSamePlan(head.plan, parent->record().plan, planned.path);
    }
    if (!options.resume && parent) {
        requireRoomToBegin(planned, options.out, options.parent, redo);
        return beginFromParent(*parent, options.out, head, diskFiles(), stop);
    }
    if (!options.resume) {
        requireRoomToBegin(planned, options.out);
        return CapturesUnderWay::begin(options.out, head, diskFiles());
    }
    auto captures = CapturesUnderWay::resume(options.out, diskFiles());
    requireSamePlan(head.plan, captures->record().plan, planned.path);
    requireSameShots(head, captures->record(), captures->path());
    if (parent) takeOverParent(*parent, *captures, stop);
    keepingTheRest([&] { requireRoomToGoOn(planned, *captures, redo); });
    return captures;
}

void checkTogether(const RunOptions& options) {
    if (!options.parent.empty() && options.redo.empty())
        throw Error(ErrorKind::usage, "needs --redo", "--from", "Name the positions that are to be measured again");
    if (!options.redo.empty() && options.parent.empty() && !options.resume)
        throw Error(ErrorKind::usage, "needs a run of which positions are measured again", "--redo",
                    "Add --resume for one that is not sealed yet, or --from RUN.h5 for one that is");
}

/// The plan is the run's own: the same one would end the same way.
const char* const afterLevelLimit =
    "Find the cause first; then begin a new run with a lower sweep, or with another limit where this one is wrong";

[[noreturn]] void throwEnding(const RunAccount& account, const RunOptions& options) {
    const ErrorKind kind = account.ending == Ending::deviceFailed ? ErrorKind::device : ErrorKind::stopped;
    throw Error(kind, account.reason + "; every capture is saved", options.out + ".part",
                account.ending == Ending::levelLimit ? afterLevelLimit : "Go on with the same command and --resume");
}

void sayCautions() {
    sayNow(wrapped("Nobody is in the chamber while the table turns or a sweep plays; the emergency stop is within "
                   "reach; local codes and licensed practice come first. See Docs/safety.md."));
}

void carryOut(const RunOptions& options, const Shell& shell) {
    checkTogether(options);
    const bool realPace = isRealPace(options.pace);
    const auto redo = positionsOf(options.redo);
    const PlannedRun planned = readPlannedRun(options.plan, seedOf(options.seed));
    requireInSet(redo, planned.set);
    keepMemoryTogether();
    StopOnSignals signals;
    RunBench bench(planned, realPace);
    const auto captures = capturesFor(options, planned, bench, redo, shell, signals.token());
    sayCautions();
    ProgressLine line;
    const RunAccount account = keepingTheRest([&] {
        return conduct(planned.plan, planned.set, bench.equipment(), *captures, redo, line, signals.token());
    });
    line.clear();
    const std::string path = account.ending == Ending::complete ? options.out : options.out + ".part";
    if (account.ending == Ending::complete) {
        signals.finish("everything is measured and the table stands: the run is being sealed to its end");
        keepingTheRest([&] { captures->seal(); });
    }
    say("\n" + accountText(account, captures->record(), path));
    if (account.ending != Ending::complete) throwEnding(account, options);
}

void shoot(const std::string& plan, const std::string& seed, const std::string& pace) {
    const bool realPace = isRealPace(pace);
    PlannedRun planned = readPlannedRun(plan, seedOf(seed));
    StopOnSignals signals;
    RunBench bench(planned, realPace);
    sayCautions();
    const AxisShots shots = shootOnAxis(planned.plan, bench.equipment(), signals.token());
    say(axisShotsText(shots));
    if (shots.ending != Ending::complete)
        throw Error(shots.ending == Ending::deviceFailed ? ErrorKind::device : ErrorKind::stopped, shots.reason,
                    plan,
                    shots.ending == Ending::levelLimit ? afterLevelLimit : "Put it right and try again");
}

void addChamberOptions(CLI::App& sub, std::string& seed, std::string& pace) {
    sub.add_option("--seed", seed, "Seed of a simulated chamber; where not given, the plan's")->type_name("N");
    sub.add_option("--pace", pace, "real: a simulated chamber takes its time")->type_name("real");
}

}  // namespace

void addRun(CLI::App& app, Shell& shell) {
    auto options = std::make_shared<RunOptions>();
    CLI::App* sub = app.add_subcommand("run", "Carry a plan out: turn, play, record, judge, keep, seal");
    sub->add_option("PLAN", options->plan, "The plan (JSON)")->required();
    sub->add_option("--out", options->out, "The run file to make; captures lie in RUN.h5.part until it is sealed")
        ->required()
        ->type_name("RUN.h5");
    addChamberOptions(*sub, options->seed, options->pace);
    sub->add_flag("--resume", options->resume, "Go on with a run that was stopped");
    sub->add_option("--redo", options->redo, "Positions to measure again, as horizontal:50,vertical:-30")
        ->type_name("LIST");
    sub->add_option("--from", options->parent,
                    "A sealed run of the same plan: its captures are taken over, those of --redo as superseded")
        ->type_name("RUN.h5");
    sub->callback([options, &shell] { shell.chosen = [options, &shell] { carryOut(*options, shell); }; });
}

void addShot(CLI::App& app, Shell& shell) {
    struct ShotOptions {
        std::string plan, seed, pace;
    };
    auto options = std::make_shared<ShotOptions>();
    CLI::App* sub = app.add_subcommand("shot", "One capture of each drive on the axis, without a run");
    sub->add_option("PLAN", options->plan, "The plan (JSON)")->required();
    addChamberOptions(*sub, options->seed, options->pace);
    sub->callback([options, &shell] {
        shell.chosen = [options] { shoot(options->plan, options->seed, options->pace); };
    });
}

}  // namespace volvelle
