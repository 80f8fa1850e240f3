#include "Chamber/SimulatedTable.h"

#include "Chamber/Noise.h"
#include "Run/Capture.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

constexpr double patienceS = 2;     // without an answer, or without moving on
constexpr double findingZeroS = 1;  // after turning back to it
constexpr double slackDeg = 1e-6;

TableFacts factsOf(const Plan& plan, const SceneTable& table) {
    TableFacts facts;
    facts.name = "simulated turntable";
    facts.hasTilt = table.hasTilt || plan.table.hasTilt;
    facts.readsBack = table.readsBack;
    facts.lowestDeg = std::max(table.lowestDeg, orElse(plan.table.lowestDeg, table.lowestDeg));
    facts.highestDeg = std::min(table.highestDeg, orElse(plan.table.highestDeg, table.highestDeg));
    if (facts.hasTilt) {
        facts.lowestTiltDeg = table.lowestTiltDeg;
        facts.highestTiltDeg = table.highestTiltDeg;
    }
    facts.speedDegPerS = table.speedDegPerS;
    facts.toleranceDeg = table.toleranceDeg;
    return facts;
}

double rounded(double deg, double resolutionDeg) {
    return resolutionDeg > 0 ? std::round(deg / resolutionDeg) * resolutionDeg : deg;
}

double sign(double x) {
    return x < 0 ? -1 : 1;
}

std::uint64_t asKey(double deg) {
    return static_cast<std::uint64_t>(std::llround(deg * 1e4) + 1000000000);
}

}  // namespace

SimulatedTable::SimulatedTable(const Plan& plan, const Scene& scene, std::uint64_t seed, Clock& clock)
    : table_(scene.table),
      remountingErrorDeg_(scene.remountingErrorDeg),
      seed_(seed),
      clock_(clock),
      facts_(factsOf(plan, scene.table)),
      script_(scene.faults) {
}

TablePose SimulatedTable::believed() const {
    const std::scoped_lock lock(mutex_);
    return pose_;
}

double SimulatedTable::errorDeg(const TablePose& pose, std::uint64_t purpose) const {
    const std::array<std::uint64_t, 4> parts{seed_, purpose, asKey(pose.tableDeg), asKey(pose.tiltDeg)};
    return Noise(mixedSeed(parts))();
}

TablePose SimulatedTable::standing(Stance stance) const {
    enum Purpose : std::uint64_t { tableError = 11, tiltError, remounting, onSide = 64 };
    const std::uint64_t side = stance == Stance::onSide ? std::uint64_t{onSide} : 0;
    const std::scoped_lock lock(mutex_);
    TablePose real = pose_;
    if (table_.positionErrorDeg > 0) {
        real.tableDeg += table_.positionErrorDeg * errorDeg(pose_, tableError + side);
        if (facts_.hasTilt) real.tiltDeg += table_.positionErrorDeg * errorDeg(pose_, tiltError + side);
    }
    if (side != 0) real.tableDeg += remountingErrorDeg_ * errorDeg({0, 0}, remounting);
    real.tableDeg += slipDeg_;
    if (table_.ringDeg > 0 && hasMoved_) {
        const double swing = table_.ringDeg * std::exp(-(clock_.nowS() - arrivedS_) / table_.ringDecayS);
        if (swing > 1e-5) real.tableDeg += swing;
    }
    real.tiltDeg = std::clamp(real.tiltDeg, -90.0, 90.0);
    return real;
}

TableResult SimulatedTable::result(TableOutcome outcome, const std::string& what) const {
    const std::scoped_lock lock(mutex_);
    TableResult out;
    out.outcome = outcome;
    out.what = what;
    if (outcome != TableOutcome::lost) out.pose = pose_;
    return out;
}

bool SimulatedTable::isWithin(const TablePose& pose) const {
    return pose.tableDeg >= facts_.lowestDeg - slackDeg && pose.tableDeg <= facts_.highestDeg + slackDeg &&
           pose.tiltDeg >= facts_.lowestTiltDeg - slackDeg &&
           pose.tiltDeg <= facts_.highestTiltDeg + slackDeg;
}

bool SimulatedTable::travel(const TablePose& target, double part, const std::stop_token& stop) {
    const TablePose from = believed();
    const TablePose to{rounded(target.tableDeg, table_.resolutionDeg),
                       rounded(target.tiltDeg, table_.resolutionDeg)};
    const double turnDeg = to.tableDeg - from.tableDeg, tiltDeg = to.tiltDeg - from.tiltDeg;
    const double whole = std::max(std::abs(turnDeg), std::abs(tiltDeg));
    const TableMovement movement{part * whole, table_.speedDegPerS, table_.accelerationDegPerS2};
    const double begin = clock_.nowS();
    const bool isThere = clock_.waitUntil(begin + movement.durationS(), stop);
    const double now = clock_.nowS();
    const std::scoped_lock lock(mutex_);
    if (whole > 0) {
        const double done = (isThere ? movement.way : movement.wayAfter(now - begin)) / whole;
        pose_ = isThere && part == 1
                    ? to
                    : TablePose{from.tableDeg + done * turnDeg, from.tiltDeg + done * tiltDeg};
        hasMoved_ = true;
        arrivedS_ = now;
    }
    return isThere;
}

TableResult SimulatedTable::home(std::stop_token stop) {
    const Interruption::Scope scope(interruption_, stop);
    if (isDead_) {
        if (!clock_.waitFor(patienceS, scope.token()))
            return result(TableOutcome::stopped, "a stop was asked for");
        return result(TableOutcome::lost, "the table does not answer");
    }
    if (!travel({0, 0}, 1, scope.token()) || !clock_.waitFor(findingZeroS, scope.token()))
        return result(TableOutcome::stopped, "a stop was asked for");
    {
        const std::scoped_lock lock(mutex_);
        slipDeg_ = 0;
        isHomed_ = true;
        pose_ = {0, 0};
    }
    return result(TableOutcome::arrived, "");
}

TableResult SimulatedTable::moveTo(const TablePose& pose, std::stop_token stop) {
    const Interruption::Scope scope(interruption_, stop);
    if (scope.token().stop_requested()) return result(TableOutcome::stopped, "a stop was asked for");
    if (!isHomed_) return refused("the table does not know where it stands: it has to be sent home first");
    const std::vector<SceneFault> faults = script_.ofMove(pose.tableDeg);
    if (!isWithin(pose))
        return refused(fmt::format("{}° lies outside the soft limits of {}° to {}°",
                                   shortestText(pose.tableDeg), shortestText(facts_.lowestDeg),
                                   shortestText(facts_.highestDeg)));
    if (!faults.empty()) return faultyMove(faults.front(), pose, scope.token());
    if (!travel(pose, 1, scope.token())) return result(TableOutcome::stopped, "a stop was asked for");
    return result(TableOutcome::arrived, "");
}

TableResult SimulatedTable::lostOnTheWay(const SceneFault& fault, const TablePose& target,
                                         const std::stop_token& stop) {
    const bool ran = travel(target, 0.5, stop) && clock_.waitFor(patienceS, stop);
    const std::scoped_lock lock(mutex_);
    isHomed_ = false;
    isDead_ = fault.times == 0;
    TableResult out;
    out.outcome = ran ? TableOutcome::lost : TableOutcome::stopped;
    out.what = !ran                                 ? "a stop was asked for"
               : fault.kind == FaultKind::powerLoss ? "the table lost its power"
                                                    : "the table does not answer";
    return out;
}

TableResult SimulatedTable::faultyMove(const SceneFault& fault, const TablePose& target,
                                       const std::stop_token& stop) {
    const double amount = orElse(fault.amountDeg, 2);
    const double forward = sign(target.tableDeg - believed().tableDeg);
    switch (fault.kind) {
        case FaultKind::limitRefused:
            return refused("the table says that its limit switch is closed");
        case FaultKind::tableSilent:
        case FaultKind::powerLoss:
            return lostOnTheWay(fault, target, stop);
        case FaultKind::tableStalls: {
            const bool ran = travel(target, 0.5, stop) && clock_.waitFor(patienceS, stop);
            return ran ? result(TableOutcome::stalled, "the table did not move on")
                       : result(TableOutcome::stopped, "a stop was asked for");
        }
        case FaultKind::tableSlips: {
            const std::scoped_lock lock(mutex_);
            slipDeg_ -= forward * amount;
            break;
        }
        default:
            break;
    }
    const double beyond = fault.kind == FaultKind::tableOvershoots ? forward * amount
                          : fault.kind == FaultKind::tableMisses   ? -forward * amount
                                                                   : 0;
    if (!travel({target.tableDeg + beyond, target.tiltDeg}, 1, stop))
        return result(TableOutcome::stopped, "a stop was asked for");
    if (beyond == 0) return result(TableOutcome::arrived, "");
    if (table_.readsBack && std::abs(beyond) > table_.toleranceDeg)
        return result(TableOutcome::missed, fmt::format("the table stands {}° from where it was sent",
                                                        significantText(std::abs(beyond), 3)));
    TableResult out = result(TableOutcome::arrived, "");
    if (!table_.readsBack) out.pose = target;
    return out;
}

TableResult SimulatedTable::where() {
    if (isDead_ || !isHomed_) return result(TableOutcome::lost, "the table does not know where it stands");
    return result(TableOutcome::arrived, "");
}

}  // namespace volvelle
