#include "Conductor/Conductor.h"

#include "Conductor/CaptureTaker.h"
#include "Conductor/DriveShots.h"
#include "Conductor/Itinerary.h"
#include "Conductor/Ledger.h"
#include "Quantities/ReferencePressure.h"
#include "Text/Number.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <deque>
#include <utility>

namespace volvelle {

namespace {

constexpr double usualSettleS = 0.5;
constexpr float firstSweepGain = 0.1F;  // 20 dB down

/// The run ends here, for a reason that is no fault of the program.
struct EarlyEnd {
    Ending ending;
    std::string reason;
};

/// One capture to be made.
struct Job {
    std::size_t drive;
    CaptureKind kind;
    int repeat, attempt;
};

double peakDb(const std::vector<float>& samples, double pascalPerFullScale) {
    float peak = 0;
    for (const float v : samples) peak = std::max(peak, std::abs(v));
    return 20 * std::log10(double{peak} * pascalPerFullScale / referencePressurePa);
}

class Conductor {
public:
    Conductor(const Plan& plan, const RunRecord& head, Equipment& equipment, CapturesUnderWay* captures,
              RunWatcher& watcher, std::stop_token stop)
        : plan_(plan),
          head_(head),
          equipment_(equipment),
          captures_(captures),
          watcher_(watcher),
          stop_(std::move(stop)),
          taker_(plan, head, captures) {
        for (const DrivePlan& drive : plan.drives) shots_.emplace_back(plan, drive, equipment.audio.facts());
    }

    RunAccount run(const std::vector<Leg>& legs, const std::vector<NamedPosition>& redo);
    AxisShots axisShots(const Leg& leg);

private:
    void go(const std::vector<Leg>& legs);
    void goLeg(const Leg& leg);
    void begin();
    void home();
    void turnUnit(Stance stance);
    void moveTo(const Stop& stop);
    void firstSweeps(const Stop& axis);
    void checkAxis(const Leg& leg);
    void measure(const Stop& stop);
    void takeAll(const Stop& stop, std::deque<Job> jobs);
    AudioTake play(const AudioShot& shot);
    void collect(const Stop& stop, std::deque<Job>& retries);
    void requireLevel(double levelDb) const;
    void requireHeard(const TakenCapture& taken) const;
    void askOrEnd(const std::string& what);
    void note(const std::string& text);
    void show(const Stop& stop, const TakenCapture& taken);
    Capture draft(const Stop& stop, const Job& job) const;
    double leftS() const;
    void standStill() noexcept;
    void endEarly(const EarlyEnd& end);
    void judgeWhole();

    const Plan& plan_;
    const RunRecord& head_;
    Equipment& equipment_;
    CapturesUnderWay* captures_;
    RunWatcher& watcher_;
    std::stop_token stop_;
    CaptureTaker taker_;
    std::vector<DriveShots> shots_;
    Ledger ledger_;
    RunAccount account_;
    std::vector<TakenCapture> kept_;  ///< of shots without a run
    Stance stance_ = Stance::upright;
    TablePose here_;
    bool swept_ = false;  ///< the first sweeps of this sitting were played
    double beganS_ = 0, moves_ = 0, movedS_ = 0;
};

void Conductor::note(const std::string& text) {
    if (captures_ != nullptr) captures_->note({equipment_.clock.utc(), text});
    watcher_.happened(text);
}

void Conductor::standStill() noexcept {
    equipment_.audio.silence();
    equipment_.table.stop();
}

void Conductor::askOrEnd(const std::string& what) {
    standStill();
    note(what);
    const double asked = equipment_.clock.nowS();
    const bool goOn = equipment_.attendant.ask(
        Attendant::Errand::other, what + ". Put it right; nothing moves or sounds until you say so", stop_);
    account_.waitedS += equipment_.clock.nowS() - asked;
    if (stop_.stop_requested()) throw EarlyEnd{Ending::stopped, "a stop was asked for"};
    if (!goOn) throw EarlyEnd{Ending::deviceFailed, what};
    note("the attendant lets the run go on");
}

void Conductor::home() {
    for (;;) {
        const double from = equipment_.clock.nowS();
        const TableResult result = equipment_.table.home(stop_);
        account_.neededS += equipment_.clock.nowS() - from;
        if (result.outcome == TableOutcome::stopped) throw EarlyEnd{Ending::stopped, "a stop was asked for"};
        if (result.arrived()) {
            here_ = result.pose;
            return;
        }
        askOrEnd("the turntable does not find its zero: " + result.what);
    }
}

void Conductor::moveTo(const Stop& stop) {
    for (;;) {
        const double from = equipment_.clock.nowS();
        const TableResult result = equipment_.table.moveTo(stop.pose, stop_);
        const double movedS = equipment_.clock.nowS() - from;
        account_.neededS += movedS;
        movedS_ += movedS;
        ++moves_;
        if (result.outcome == TableOutcome::stopped) throw EarlyEnd{Ending::stopped, "a stop was asked for"};
        if (result.arrived()) {
            here_ = result.pose;
            break;
        }
        askOrEnd("the turntable did not reach " + stop.name + ": " + result.what);
        home();
    }
    const double settleS = std::isfinite(plan_.table.settleS) ? plan_.table.settleS : usualSettleS;
    account_.neededS += settleS;
    if (!equipment_.clock.waitFor(settleS, stop_)) throw EarlyEnd{Ending::stopped, "a stop was asked for"};
}

void Conductor::turnUnit(Stance stance) {
    if (stance == stance_) return;
    const bool onSide = stance == Stance::onSide;
    const std::string side = plan_.table.liesOnLeftSide ? "left" : "right";
    const std::string request =
        onSide ? "Switch the table's power off, then lay the unit on its " + side +
                     " side, its reference point again in front of the microphone at 0°. Two people or a hoist "
                     "lift it; local codes and licensed practice come first"
               : std::string("Switch the table's power off, then set the unit upright. Two people or a hoist lift "
                             "it; local codes and licensed practice come first");
    const double asked = equipment_.clock.nowS();
    const bool done = equipment_.attendant.ask(
        onSide ? Attendant::Errand::layOnSide : Attendant::Errand::setUpright, request, stop_);
    account_.waitedS += equipment_.clock.nowS() - asked;
    if (!done) throw EarlyEnd{Ending::stopped, "the unit was not turned"};
    stance_ = stance;
    note(onSide ? "the unit lies on its " + side + " side" : "the unit stands upright");
}

Capture Conductor::draft(const Stop& stop, const Job& job) const {
    Capture capture;
    capture.kind = job.kind;
    capture.id = captureId(plan_.drives[job.drive].name, stop.name, stop.position.stance, job.kind, job.repeat,
                           job.attempt);
    capture.direction = stop.direction;
    capture.orbit = stop.position.orbit;
    capture.angleDeg = stop.position.angleDeg;
    capture.tableDeg = stop.pose.tableDeg;
    capture.tiltDeg = equipment_.table.facts().hasTilt ? stop.pose.tiltDeg : notStated;
    if (equipment_.table.facts().readsBack) {
        capture.readBackDeg = here_.tableDeg;
        if (equipment_.table.facts().hasTilt) capture.tiltReadBackDeg = here_.tiltDeg;
    }
    capture.stance = stop.position.stance;
    capture.distanceM = stop.distanceM;
    capture.repeat = job.repeat;
    capture.attempt = job.attempt;
    capture.utc = equipment_.clock.utc();
    capture.monotonicS = equipment_.clock.nowS();
    capture.air = equipment_.air();
    return capture;
}

AudioTake Conductor::play(const AudioShot& shot) {
    for (;;) {
        AudioTake take = equipment_.audio.play(shot, stop_);
        if (take.outcome == AudioOutcome::stopped) throw EarlyEnd{Ending::stopped, "a stop was asked for"};
        if (take.done()) return take;
        askOrEnd("the audio device failed during " + shot.label + ": " + take.what);
    }
}

void Conductor::requireLevel(double levelDb) const {
    if (levelDb <= plan_.conduct.levelLimitDb || !std::isfinite(plan_.conduct.levelLimitDb)) return;
    throw EarlyEnd{Ending::levelLimit,
                   fmt::format("{} dB peak at the microphone, over the plan's limit of {} dB",
                               fixedText(levelDb, 1), fixedText(plan_.conduct.levelLimitDb, 1))};
}

void Conductor::requireHeard(const TakenCapture& taken) const {
    if (taken.capture.kind != CaptureKind::lowSweep || std::isfinite(taken.capture.quality.arrivalS)) return;
    throw EarlyEnd{Ending::deviceFailed, "nothing is heard of " + plan_.drives[taken.drive].name +
                                             " in the first sweep: check amplifier, wiring and microphone"};
}

/// Every job, the next one's sound over the judging of the one before.
void Conductor::takeAll(const Stop& stop, std::deque<Job> jobs) {
    for (;;) {
        if (jobs.empty()) {
            collect(stop, jobs);
            if (jobs.empty()) return;
        }
        const Job job = jobs.front();
        jobs.pop_front();
        const bool low = job.kind == CaptureKind::lowSweep;
        Capture capture = draft(stop, job);
        AudioTake take = play(shots_[job.drive].shot(capture.id, low ? firstSweepGain : 1.0F));
        account_.neededS += shots_[job.drive].durationS();
        const double levelDb = peakDb(take.channels[0], head_.calibration.pascalPerFullScale);
        collect(stop, jobs);
        taker_.take(job.drive, std::move(capture), std::move(take));
        requireLevel(low ? levelDb + 20 : levelDb);
        if (low) collect(stop, jobs);  // it is checked before anything louder plays
    }
}

void Conductor::collect(const Stop& stop, std::deque<Job>& retries) {
    const auto taken = taker_.collect();
    if (!taken) return;
    const Capture& capture = taken->capture;
    if (captures_ == nullptr) kept_.push_back(*taken);
    ++account_.captures;
    ledger_.add(capture);
    show(stop, *taken);
    requireHeard(*taken);
    if (capture.kind != CaptureKind::position || capture.state != CaptureState::doubtful) return;
    const auto attempt = ledger_.nextAttempt(plan_.drives[taken->drive].name, stop.name, capture.stance,
                                             capture.repeat, plan_.conduct.attempts);
    if (!attempt) return;
    ++account_.repeated;
    retries.push_back({taken->drive, capture.kind, capture.repeat, *attempt});
}

void Conductor::show(const Stop& stop, const TakenCapture& taken) {
    RunProgress progress;
    progress.position = stop.name;
    progress.drive = plan_.drives[taken.drive].name;
    progress.positionsDone = account_.positionsDone;
    progress.positions = account_.positions;
    progress.quality = taken.capture.state == CaptureState::doubtful ? taken.capture.reason : "good";
    progress.leftS = leftS();
    watcher_.progressed(progress);
}

double Conductor::leftS() const {
    double perPosition = moves_ > 0 ? movedS_ / moves_ : 0;
    for (const DriveShots& shots : shots_) perPosition += plan_.conduct.repeats * shots.durationS();
    return static_cast<double>(account_.positions - account_.positionsDone) * perPosition;
}

void Conductor::firstSweeps(const Stop& axis) {
    if (swept_) return;
    std::deque<Job> jobs;
    for (std::size_t d = 0; d < shots_.size(); ++d)
        jobs.push_back({d, CaptureKind::lowSweep, ledger_.nextRepeat(plan_.drives[d].name, CaptureKind::lowSweep,
                                                                     stance_), 1});
    takeAll(axis, jobs);
    swept_ = true;
    note("the first sweeps, 20 dB down, are as expected");
}

void Conductor::checkAxis(const Leg& leg) {
    moveTo(leg.axis);
    firstSweeps(leg.axis);
    std::deque<Job> jobs;
    for (std::size_t d = 0; d < shots_.size(); ++d)
        jobs.push_back({d, CaptureKind::axisCheck,
                        ledger_.nextRepeat(plan_.drives[d].name, CaptureKind::axisCheck, stance_), 1});
    takeAll(leg.axis, jobs);
}

void Conductor::measure(const Stop& stop) {
    std::deque<Job> jobs;
    for (int repeat = 1; repeat <= plan_.conduct.repeats; ++repeat)
        for (std::size_t d = 0; d < shots_.size(); ++d)
            if (const auto attempt = ledger_.nextAttempt(plan_.drives[d].name, stop.name, stop.position.stance,
                                                         repeat, plan_.conduct.attempts))
                jobs.push_back({d, CaptureKind::position, repeat, *attempt});
    if (!jobs.empty()) {
        moveTo(stop);
        takeAll(stop, jobs);
    }
    ++account_.positionsDone;
}

void Conductor::goLeg(const Leg& leg) {
    const auto isOpen = [&](const Stop& stop) {
        return ledger_.isOpen(plan_, stop.name, stop.position.stance);
    };
    const auto open = std::count_if(leg.stops.begin(), leg.stops.end(), isOpen);
    if (open == 0) {
        account_.positionsDone += leg.stops.size();
        return;
    }
    turnUnit(leg.stance);
    checkAxis(leg);
    int sinceCheck = 0;
    for (const Stop& stop : leg.stops) {
        const bool was = isOpen(stop);
        if (was && plan_.conduct.axisCheckEvery > 0 && sinceCheck >= plan_.conduct.axisCheckEvery) {
            checkAxis(leg);
            sinceCheck = 0;
        }
        measure(stop);
        sinceCheck += was ? 1 : 0;
    }
    checkAxis(leg);
}

void Conductor::begin() {
    beganS_ = equipment_.clock.nowS();
    home();
    if (!(plan_.conduct.warmUpS > 0)) return;
    note("warming up for " + fixedText(plan_.conduct.warmUpS, 0) + " s");
    if (!equipment_.clock.waitFor(plan_.conduct.warmUpS, stop_))
        throw EarlyEnd{Ending::stopped, "a stop was asked for"};
    account_.waitedS += plan_.conduct.warmUpS;
}

void Conductor::go(const std::vector<Leg>& legs) {
    begin();
    for (const Leg& leg : legs) goLeg(leg);
}

void Conductor::endEarly(const EarlyEnd& end) {
    standStill();
    account_.ending = end.ending;
    account_.reason = end.reason;
    if (const auto last = taker_.collect()) {
        ledger_.add(last->capture);
        ++account_.captures;
    }
    note((end.ending == Ending::stopped ? "stopped: " : "ended early: ") + end.reason);
}

/// What only the whole run allows to be said.
void Conductor::judgeWhole() {
    RunRecord whole = captures_->record();
    JudgeSettings settings;
    settings.latencyS = plan_.latencyS;
    account_.remarks = judgeRun(whole, settings);
    for (std::size_t d = 0; d < whole.drives.size(); ++d) captures_->restate(d, whole.drives[d].captures);
    for (const std::string& remark : account_.remarks) note(remark);
    account_.drift = driftsOf(whole);
    for (const Drift& drift : account_.drift) note(driftText(drift));
    for (const DriveRecord& drive : whole.drives)
        for (const Capture& capture : drive.captures)
            if (capture.kind == CaptureKind::position && capture.state == CaptureState::doubtful)
                account_.doubtful.push_back(drive.name + " at " + positionName(capture) + ": " + capture.reason);
}

RunAccount Conductor::run(const std::vector<Leg>& legs, const std::vector<NamedPosition>& redo) {
    ledger_ = Ledger(captures_->record(), redo);
    for (const Leg& leg : legs) account_.positions += leg.stops.size();
    try {
        go(legs);
        standStill();
        account_.wallS = equipment_.clock.nowS() - beganS_;
        judgeWhole();
    } catch (const EarlyEnd& end) {
        endEarly(end);
        account_.wallS = equipment_.clock.nowS() - beganS_;
    } catch (...) {
        standStill();
        throw;
    }
    return account_;
}

AxisShots Conductor::axisShots(const Leg& leg) {
    AxisShots out;
    try {
        begin();
        checkAxis(leg);
        standStill();
    } catch (const EarlyEnd& end) {
        endEarly(end);
        out.ending = end.ending;
        out.reason = end.reason;
    } catch (...) {
        standStill();
        throw;
    }
    for (const TakenCapture& taken : kept_)
        if (taken.capture.kind == CaptureKind::axisCheck)
            out.shots.push_back({plan_.drives[taken.drive].name, taken.capture});
    return out;
}

}  // namespace

RunAccount conduct(const Plan& plan, const AngleSet& set, Equipment equipment, CapturesUnderWay& captures,
                   const std::vector<NamedPosition>& redo, RunWatcher& watcher, std::stop_token stop) {
    const RunRecord head = captures.record();
    return Conductor(plan, head, equipment, &captures, watcher, std::move(stop)).run(itinerary(plan, set), redo);
}

AxisShots shootOnAxis(const Plan& plan, Equipment equipment, std::stop_token stop) {
    const RunRecord head = headOf(plan, equipment.audio.facts(), {});
    RunWatcher nobody;
    const auto legs = itinerary(plan, angleSet("on-axis", plan.table.hasTilt));
    return Conductor(plan, head, equipment, nullptr, nobody, std::move(stop)).axisShots(legs.front());
}

}  // namespace volvelle
