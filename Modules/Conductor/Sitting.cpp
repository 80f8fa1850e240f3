#include "Conductor/Sitting.h"

#include "Text/Number.h"

#include <fmt/core.h>

#include <cmath>
#include <utility>

namespace volvelle {

namespace {

EarlyEnd stopWasAskedFor() {
    return {Ending::stopped, "a stop was asked for"};
}

constexpr double slackDeg = 1e-6;

const char* const afterTurning = "Switch the power on again, leave the chamber and shut the door";

}  // namespace

Sitting::Sitting(const Plan& plan, const Equipment& equipment, CapturesUnderWay* captures, RunWatcher& watcher,
                 std::stop_token stop, std::optional<Stance> stance)
    : plan_(plan),
      equipment_(equipment),
      captures_(captures),
      watcher_(watcher),
      stop_(std::move(stop)),
      stance_(stance),
      beganS_(equipment.clock.nowS()) {
}

double Sitting::wallS() const {
    return equipment_.clock.nowS() - beganS_;
}

double Sitting::perMoveS() const {
    return moves_ > 0 ? movedS_ / moves_ : 0;
}

void Sitting::note(const std::string& text) {
    if (captures_ != nullptr) captures_->note({equipment_.clock.utc(), text});
    watcher_.happened(text);
}

void Sitting::standStill() noexcept {
    equipment_.audio.silence();
    equipment_.table.stop();
}

void Sitting::requireNoStop() const {
    if (stop_.stop_requested()) throw stopWasAskedFor();
}

bool Sitting::ask(Attendant::Errand errand, const std::string& request) {
    standStill();
    requireNoStop();
    const double asked = equipment_.clock.nowS();
    const bool done = equipment_.attendant.ask(errand, request, stop_);
    waitedS_ += equipment_.clock.nowS() - asked;
    requireNoStop();
    return done;
}

void Sitting::askOrEnd(const std::string& what) {
    standStill();
    isChecked_ = false;
    note(what);
    if (!ask(Attendant::Errand::other, what + ". Put it right; nothing moves or sounds until you say so"))
        throw EarlyEnd{Ending::deviceFailed, what};
    note("the attendant lets the run go on");
}

void Sitting::begin() {
    beganS_ = equipment_.clock.nowS();
    home();
    if (!(plan_.conduct.warmUpS > 0)) return;
    note("warming up for " + fixedText(plan_.conduct.warmUpS, 0) + " s");
    const double from = equipment_.clock.nowS();
    const bool waited = equipment_.clock.waitFor(plan_.conduct.warmUpS, stop_);
    waitedS_ += equipment_.clock.nowS() - from;
    if (!waited) throw stopWasAskedFor();
}

void Sitting::home() {
    for (;;) {
        requireNoStop();
        const double from = equipment_.clock.nowS();
        const TableResult result = equipment_.table.home(stop_);
        if (result.outcome == TableOutcome::stopped) throw stopWasAskedFor();
        if (result.arrived()) {
            neededS_ += equipment_.clock.nowS() - from;
            here_ = result.pose;
            return;
        }
        askOrEnd("the turntable does not find its zero: " + result.what);
    }
}

void Sitting::settle() {
    const double from = equipment_.clock.nowS();
    const double settleS = std::isfinite(plan_.table.settleS) ? plan_.table.settleS : usualSettleS;
    const bool waited = equipment_.clock.waitFor(settleS, stop_);
    neededS_ += settleS;
    movedS_ += equipment_.clock.nowS() - from;
    if (!waited) throw stopWasAskedFor();
}

/// What a table says of itself is held against where it was sent.
TableResult Sitting::moved(const Stop& stop) {
    const TableFacts& facts = equipment_.table.facts();
    TableResult result = equipment_.table.moveTo(stop.pose, stop_);
    if (!result.arrived() || !facts.readsBack) return result;
    const double turnedDeg = std::abs(result.pose.tableDeg - stop.pose.tableDeg);
    const double tiltedDeg = facts.hasTilt ? std::abs(result.pose.tiltDeg - stop.pose.tiltDeg) : 0;
    if (turnedDeg <= facts.toleranceDeg + slackDeg && tiltedDeg <= facts.toleranceDeg + slackDeg) return result;
    result.outcome = TableOutcome::missed;  // also where it does not know
    result.what = fmt::format("it says that it stands at {}°, tilt {}°, not at {}°, tilt {}°",
                              fixedText(result.pose.tableDeg, 3), fixedText(result.pose.tiltDeg, 3),
                              fixedText(stop.pose.tableDeg, 3), fixedText(stop.pose.tiltDeg, 3));
    return result;
}

void Sitting::moveTo(const Stop& stop) {
    for (;;) {
        requireNoStop();
        const double from = equipment_.clock.nowS();
        const TableResult result = moved(stop);
        const double tookS = equipment_.clock.nowS() - from;
        if (result.outcome == TableOutcome::stopped) throw stopWasAskedFor();
        if (result.arrived()) {
            here_ = result.pose;
            neededS_ += tookS;
            movedS_ += tookS;
            ++moves_;
            return settle();
        }
        askOrEnd("the turntable did not reach " + stop.name + ": " + result.what);
        home();
    }
}

void Sitting::turnUnit(Stance stance) {
    if (stance_ == stance) return;
    const bool onSide = stance == Stance::onSide;
    const std::string side = plan_.table.liesOnLeftSide ? "left" : "right";
    const std::string act = onSide ? "lay the unit on its " + side +
                                         " side, its reference point again in front of the microphone at 0°"
                                   : std::string("set the unit upright");
    const std::string request = "Switch the table's power off, then " + act +
                                ". Two people or a hoist lift it; local codes and licensed practice come first. " +
                                afterTurning;
    if (!ask(onSide ? Attendant::Errand::layOnSide : Attendant::Errand::setUpright, request))
        throw EarlyEnd{Ending::stopped, "the unit was not turned"};
    stance_ = stance;
    isChecked_ = false;
    note(onSide ? "the unit lies on its " + side + " side" : "the unit stands upright");
    home();
}

AudioTake Sitting::play(const AudioShot& shot) {
    requireNoStop();
    AudioTake take = equipment_.audio.play(shot, stop_);
    if (take.outcome == AudioOutcome::stopped) throw stopWasAskedFor();
    if (take.done())
        neededS_ += static_cast<double>(shot.samples) / equipment_.audio.facts().sampleRateHz;
    else
        standStill();
    return take;
}

}  // namespace volvelle
