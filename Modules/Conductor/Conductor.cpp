#include "Conductor/Conductor.h"

#include "Conductor/Accounting.h"
#include "Conductor/CaptureTaker.h"
#include "Conductor/DriveShots.h"
#include "Conductor/Itinerary.h"
#include "Conductor/Ledger.h"
#include "Conductor/Reach.h"
#include "Conductor/RedoEvent.h"
#include "Conductor/Sitting.h"
#include "Quantities/ReferencePressure.h"
#include "Run/PlanFaults.h"
#include "Text/Number.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <deque>
#include <optional>
#include <utility>

namespace volvelle {

namespace {

/// One capture to be made.
struct Job {
    std::size_t drive;
    CaptureKind kind;
    int repeat, attempt;
};
using Jobs = std::deque<Job>;

/// Of the loopback in a first sweep re the full one: the noise of an input with nothing plugged in.
constexpr double emptyLoopbackDb = -80;

double peakDb(const std::vector<float>& samples, double pascalPerFullScale) {
    float peak = 0;
    for (const float v : samples) peak = std::max(peak, std::abs(v));
    return 20 * std::log10(double{peak} * pascalPerFullScale / referencePressurePa);
}

/// Upright before anybody was asked to turn it; nothing where it may still lie as another sitting left it.
std::optional<Stance> stanceAtTheBeginning(const CapturesUnderWay* captures) {
    if (captures == nullptr) return Stance::upright;
    for (const DriveRecord& drive : captures->record().drives)
        for (const Capture& capture : drive.captures)
            if (capture.stance == Stance::onSide) return std::nullopt;
    return Stance::upright;
}

class Conductor {
public:
    Conductor(const Plan& plan, const RunRecord& head, const Equipment& equipment, CapturesUnderWay* captures,
              RunWatcher& watcher, std::stop_token stop)
        : plan_(plan),
          head_(head),
          captures_(captures),
          watcher_(watcher),
          taker_(plan, head, captures),
          sitting_(plan, equipment, captures, watcher, std::move(stop), stanceAtTheBeginning(captures)) {
        for (const DrivePlan& drive : plan.drives) {
            shots_.emplace_back(plan, drive, equipment.audio.facts());
            roundS_ += shots_.back().durationS();
        }
    }

    RunAccount run(const std::vector<Leg>& legs, const std::vector<NamedPosition>& redo);
    AxisShots axisShots(const Leg& leg);

private:
    void go(const std::vector<Leg>& legs);
    void goLeg(const Leg& leg);
    void goStops(const Leg& leg);
    bool isOpen(const Stop& stop) const;
    bool isOpen(const Leg& leg) const;
    void measure(const Stop& stop, const Stop& axis);
    void checkAxis(const Stop& axis);
    void playFirstSweeps(const Stop& axis);
    void takeAll(const Stop& stop, const Stop& axis, Jobs jobs);
    void take(const Stop& stop, const Job& job, Jobs& jobs);
    void collect(const Stop& stop, Jobs& jobs);
    Jobs oneOfEachDrive(CaptureKind kind, Stance stance) const;
    Capture draft(const Stop& stop, const Job& job) const;
    void requireLevel(double levelDb, bool isForecast) const;
    void requireHeard(const TakenCapture& taken) const;
    void endEarly(const EarlyEnd& end);
    void openLedger(const std::vector<NamedPosition>& redo);

    const Plan& plan_;
    const RunRecord& head_;
    CapturesUnderWay* captures_;
    RunWatcher& watcher_;
    CaptureTaker taker_;
    Sitting sitting_;
    std::vector<DriveShots> shots_;
    double roundS_ = 0;  ///< one sweep of each drive
    Ledger ledger_;
    RunAccount account_;
    std::vector<TakenCapture> kept_;  ///< of shots without a run
    int legsLeft_ = 0;
};

Capture Conductor::draft(const Stop& stop, const Job& job) const {
    const Equipment& equipment = sitting_.equipment();
    const TableFacts& table = equipment.table.facts();
    Capture capture;
    capture.kind = job.kind;
    capture.id = captureId(plan_.drives[job.drive].name, stop.name, stop.position.stance, job.kind, job.repeat,
                           job.attempt);
    capture.direction = stop.direction;
    capture.orbit = stop.position.orbit;
    capture.angleDeg = stop.position.angleDeg;
    capture.tableDeg = stop.pose.tableDeg;
    capture.tiltDeg = table.hasTilt ? stop.pose.tiltDeg : notStated;
    if (table.readsBack) {
        capture.readBackDeg = sitting_.here().tableDeg;
        if (table.hasTilt) capture.tiltReadBackDeg = sitting_.here().tiltDeg;
    }
    capture.stance = stop.position.stance;
    capture.distanceM = stop.distanceM;
    capture.repeat = job.repeat;
    capture.attempt = job.attempt;
    capture.utc = equipment.clock.utc();
    capture.monotonicS = equipment.clock.nowS();
    capture.air = equipment.air();
    return capture;
}

void Conductor::requireLevel(double levelDb, bool isForecast) const {
    if (!(levelDb > plan_.conduct.levelLimitDb)) return;
    throw EarlyEnd{Ending::levelLimit,
                   fmt::format("{} dB peak at the microphone{}, over the plan's limit of {} dB", fixedText(levelDb, 1),
                               isForecast ? ", as the first sweep foretells the full one" : "",
                               fixedText(plan_.conduct.levelLimitDb, 1))};
}

void Conductor::requireHeard(const TakenCapture& taken) const {
    if (taken.capture.kind != CaptureKind::lowSweep) return;
    const std::string& drive = plan_.drives[taken.drive].name;
    if (shots_[taken.drive].hasLoopback() &&
        (!std::isfinite(taken.capture.quality.loopbackDelayS) || taken.loopbackLevelDb < emptyLoopbackDb))
        throw EarlyEnd{Ending::deviceFailed,
                       "the loopback carries nothing in the first sweep of " + drive + ": check its wiring"};
    if (!std::isfinite(taken.capture.quality.arrivalS))
        throw EarlyEnd{Ending::deviceFailed, "nothing is heard of " + drive +
                                                 " in the first sweep: check amplifier, wiring and microphone" +
                                                 (plan_.audio.decayS < shortestUsefulDecayS
                                                      ? ", and audio.decay_s, which is under 0.05 s"
                                                      : "")};
}

/// Every job, the next one's sound over the judging of the one before. Nothing full plays after a fault before
/// the first sweeps were played again.
void Conductor::takeAll(const Stop& stop, const Stop& axis, Jobs jobs) {
    for (;;) {
        if (jobs.empty()) collect(stop, jobs);  // it may have to be taken again
        if (jobs.empty()) return;
        while (!sitting_.isChecked() && jobs.front().kind != CaptureKind::lowSweep) {
            if (&stop != &axis) sitting_.moveTo(axis);
            playFirstSweeps(axis);
            if (&stop != &axis) sitting_.moveTo(stop);
        }
        const Job job = jobs.front();
        jobs.pop_front();
        take(stop, job, jobs);
    }
}

/// Plays one job; where the device fails and the attendant goes on, it is the next one again.
void Conductor::take(const Stop& stop, const Job& job, Jobs& jobs) {
    const bool low = job.kind == CaptureKind::lowSweep;
    Capture capture = draft(stop, job);
    AudioTake take = sitting_.play(shots_[job.drive].shot(capture.id, low ? firstSweepGain : 1.0F));
    collect(stop, jobs);
    if (!take.done()) {
        sitting_.askOrEnd("the audio device failed during " + capture.id + ": " + take.what);
        jobs.push_front(job);
        return;
    }
    const double levelDb = peakDb(take.channels[0], head_.calibration.pascalPerFullScale);
    taker_.take(job.drive, std::move(capture), std::move(take));
    requireLevel(low ? levelDb + 20 : levelDb, low);
    if (low) collect(stop, jobs);  // it is checked before anything louder plays
}

void Conductor::collect(const Stop& stop, Jobs& jobs) {
    const auto taken = taker_.collect();
    if (!taken) return;
    const Capture& capture = taken->capture;
    const std::string& drive = plan_.drives[taken->drive].name;
    if (captures_ == nullptr) kept_.push_back(*taken);
    ++account_.captures;
    ledger_.add(drive, capture);
    watcher_.progressed(progressOf(plan_, account_, stop, *taken,
                                   timeLeftS(plan_, account_, sitting_, roundS_, legsLeft_)));
    requireHeard(*taken);
    if (capture.kind == CaptureKind::lowSweep || capture.state != CaptureState::doubtful) return;
    const auto attempt = ledger_.nextAttempt(drive, stop.name, capture.stance, capture.kind, capture.repeat,
                                             plan_.conduct.attempts);
    if (!attempt) return;
    ++account_.repeated;
    jobs.push_back({taken->drive, capture.kind, capture.repeat, *attempt});
}

Jobs Conductor::oneOfEachDrive(CaptureKind kind, Stance stance) const {
    Jobs jobs;
    for (std::size_t d = 0; d < shots_.size(); ++d)
        jobs.push_back({d, kind, ledger_.nextRepeat(plan_.drives[d].name, kind, stance), 1});
    return jobs;
}

/// The table stands on the axis.
void Conductor::playFirstSweeps(const Stop& axis) {
    sitting_.check();  // unless there is another fault
    takeAll(axis, axis, oneOfEachDrive(CaptureKind::lowSweep, axis.position.stance));
    if (!sitting_.isChecked()) return;
    sitting_.note("the first sweeps, 20 dB down, are as expected");
}

void Conductor::checkAxis(const Stop& axis) {
    sitting_.moveTo(axis);
    takeAll(axis, axis, oneOfEachDrive(CaptureKind::axisCheck, axis.position.stance));
}

bool Conductor::isOpen(const Stop& stop) const {
    return ledger_.isOpen(plan_, stop.name, stop.position.stance);
}

bool Conductor::isOpen(const Leg& leg) const {
    return !ledger_.endsWithCheck(plan_, leg.stance) ||
           std::any_of(leg.stops.begin(), leg.stops.end(), [this](const Stop& stop) { return isOpen(stop); });
}

void Conductor::measure(const Stop& stop, const Stop& axis) {
    Jobs jobs;
    for (int repeat = 1; repeat <= plan_.conduct.repeats; ++repeat)
        for (std::size_t d = 0; d < shots_.size(); ++d)
            if (const auto attempt =
                    ledger_.nextAttempt(plan_.drives[d].name, stop.name, stop.position.stance,
                                        CaptureKind::position, repeat, plan_.conduct.attempts))
                jobs.push_back({d, CaptureKind::position, repeat, *attempt});
    sitting_.moveTo(stop);
    takeAll(stop, axis, std::move(jobs));
}

void Conductor::goStops(const Leg& leg) {
    int sinceCheck = 0;
    for (const Stop& stop : leg.stops) {
        if (isOpen(stop)) {
            if (plan_.conduct.axisCheckEvery > 0 && sinceCheck >= plan_.conduct.axisCheckEvery) {
                checkAxis(leg.axis);
                sinceCheck = 0;
            }
            measure(stop, leg.axis);
            ++sinceCheck;
        }
        ++account_.positionsDone;
    }
}

void Conductor::goLeg(const Leg& leg) {
    if (!isOpen(leg)) {
        account_.positionsDone += leg.stops.size();
        return;
    }
    sitting_.turnUnit(leg.stance);
    const auto done = account_.positionsDone;
    const bool onlyCheck = std::none_of(leg.stops.begin(), leg.stops.end(),
                                        [this](const Stop& stop) { return isOpen(stop); });
    if (!onlyCheck) {
        checkAxis(leg.axis);
        goStops(leg);
    }
    account_.positionsDone = done + leg.stops.size();
    --legsLeft_;
    checkAxis(leg.axis);
}

void Conductor::go(const std::vector<Leg>& legs) {
    legsLeft_ = static_cast<int>(
        std::count_if(legs.begin(), legs.end(), [this](const Leg& leg) { return isOpen(leg); }));
    if (legsLeft_ > 0) sitting_.begin();
    for (const Leg& leg : legs) goLeg(leg);
    sitting_.standStill();
}

/// Silence first, then the table, then what was recorded last.
void Conductor::endEarly(const EarlyEnd& end) {
    sitting_.standStill();
    watcher_.happened("the outputs are silent, the table is stopped");
    account_.ending = end.ending;
    account_.reason = end.reason;
    if (const auto last = taker_.collect()) {
        ++account_.captures;
        if (captures_ == nullptr) kept_.push_back(*last);
    }
    sitting_.note((end.ending == Ending::stopped ? "stopped: " : "ended early: ") + end.reason);
}

/// What was already measured again before this sitting stays.
void Conductor::openLedger(const std::vector<NamedPosition>& redo) {
    const RunRecord& run = captures_->record();
    const auto begun = redo.empty() ? std::nullopt : begunRedo(run, redo);
    const auto before = begun ? *begun : captureCounts(run);
    ledger_ = Ledger(run, redo, before);
    if (!redo.empty() && !begun) sitting_.note(redoEvent(redo, before));
}

RunAccount Conductor::run(const std::vector<Leg>& legs, const std::vector<NamedPosition>& redo) {
    for (const Leg& leg : legs) account_.positions += leg.stops.size();
    try {
        openLedger(redo);
        go(legs);
        judgeWhole(plan_, taker_, *captures_, sitting_.equipment().clock, account_);
    } catch (const EarlyEnd& end) {
        endEarly(end);
    } catch (...) {
        sitting_.standStill();
        throw;
    }
    closeAccount(sitting_, captures_->record(), account_);
    return account_;
}

AxisShots Conductor::axisShots(const Leg& leg) {
    AxisShots out;
    try {
        sitting_.begin();
        checkAxis(leg.axis);
        sitting_.standStill();
    } catch (const EarlyEnd& end) {
        endEarly(end);
        out.ending = end.ending;
        out.reason = end.reason;
    } catch (...) {
        sitting_.standStill();
        throw;
    }
    for (std::size_t d = 0; d < shots_.size(); ++d) {
        const auto last = std::find_if(kept_.rbegin(), kept_.rend(), [d](const TakenCapture& taken) {
            return taken.drive == d && taken.capture.kind == CaptureKind::axisCheck;
        });
        if (last != kept_.rend()) out.shots.push_back({plan_.drives[d].name, last->capture});
    }
    out.remarks = taker_.remarks();
    return out;
}

}  // namespace

RunAccount conduct(const Plan& plan, const AngleSet& set, const Equipment& equipment,
                   CapturesUnderWay& captures, const std::vector<NamedPosition>& redo, RunWatcher& watcher,
                   std::stop_token stop) {
    const RunRecord head = captures.record();
    const auto legs = itinerary(plan, set);
    requireReach(legs, equipment.table.facts());
    return Conductor(plan, head, equipment, &captures, watcher, std::move(stop)).run(legs, redo);
}

AxisShots shootOnAxis(const Plan& plan, const Equipment& equipment, std::stop_token stop) {
    const RunRecord head = headOf(plan, equipment.audio.facts(), {});
    RunWatcher nobody;
    const auto legs = itinerary(plan, angleSet("on-axis", plan.table.hasTilt));
    requireReach(legs, equipment.table.facts());
    return Conductor(plan, head, equipment, nullptr, nobody, std::move(stop)).axisShots(legs.front());
}

}  // namespace volvelle
