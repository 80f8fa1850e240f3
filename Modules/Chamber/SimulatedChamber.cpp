#include "Chamber/SimulatedChamber.h"

#include "Chamber/SimulatedAudio.h"
#include "Chamber/SimulatedTable.h"
#include "Run/TableGeometry.h"

#include <algorithm>
#include <cmath>
#include <string>

namespace volvelle {

namespace {

Air airOf(const Plan& plan) {
    Air air = plan.air;
    if (std::isnan(air.temperatureC)) air.temperatureC = 20;
    if (std::isnan(air.relativeHumidityPercent)) air.relativeHumidityPercent = 50;
    if (std::isnan(air.pressureKPa)) air.pressureKPa = 101.325;
    return air;
}

/// Turns the unit on its side and up again. Puts faults right as far as the scene does, and gives up on what is
/// asked for again and again.
class SimulatedAttendant final : public Attendant {
public:
    SimulatedAttendant(double turningS, Clock& clock) : turningS_(turningS), clock_(clock) {}

    bool ask(Errand errand, const std::string& request, std::stop_token stop) override {
        times_ = request == last_ ? times_ + 1 : 1;
        last_ = request;
        if (errand == Errand::other) return !stop.stop_requested() && times_ <= mostTimes;
        if (!clock_.waitFor(turningS_, stop)) return false;
        stance_ = errand == Errand::layOnSide ? Stance::onSide : Stance::upright;
        return true;
    }
    Stance stance() const { return stance_; }

private:
    static constexpr int mostTimes = 5;
    double turningS_;
    Clock& clock_;
    Stance stance_ = Stance::upright;
    std::string last_;  ///< what was asked for
    int times_ = 0;     ///< in a row
};

/// The direction in which a unit shows a microphone that stands ahead of the table's zero. A unit that turned
/// counter-clockwise shows it its right side; on its left side, what was up points to the left.
Direction shownBy(const TablePose& pose, Stance stance, const TablePlan& table) {
    const double towardsLeftDeg = table.countsClockwise ? pose.tableDeg : -pose.tableDeg;
    if (stance == Stance::upright) return direction(towardsLeftDeg, pose.tiltDeg);
    return directionOn(Orbit::vertical, table.liesOnLeftSide ? towardsLeftDeg : -towardsLeftDeg);
}

}  // namespace

struct SimulatedChamber::Parts {
    Plan plan;
    Scene scene;
    Clock& clock;
    double begunS;
    Air air;
    SimulatedTable table;
    SimulatedAttendant attendant;
    SimulatedAudio audio;

    Parts(const Plan& thePlan, const Scene& theScene, std::uint64_t seed, Clock& theClock)
        : plan(thePlan),
          scene(theScene),
          clock(theClock),
          begunS(theClock.nowS()),
          air(airOf(thePlan)),
          table(thePlan, theScene, seed, theClock),
          attendant(theScene.attendantS, theClock),
          audio(
              thePlan, theScene, air, seed, theClock, [this] { return place(); },
              [this] { return table.believed().tableDeg; }) {}

    Air airNow() const {
        Air now = air;
        const double drift = scene.temperatureDriftCPerHour * (clock.nowS() - begunS) / 3600;
        now.temperatureC += std::clamp(drift, -20.0, 20.0);  // the air conditioning holds
        return now;
    }

    Placement placement() const {
        const Stance stance = attendant.stance();
        return placed(shownBy(table.standing(stance), stance, plan.table),
                      effectiveOffset(plan.referencePointM, stance), plan.distanceM, false, "plan");
    }

    ChamberSound::Place place() const {
        const Placement where = placement();
        return {where.direction, where.distanceM, airNow()};
    }
};

SimulatedChamber::SimulatedChamber(const Plan& plan, const Scene& scene, std::uint64_t seed, Clock& clock) {
    checkScene(scene, plan, "plan");
    parts_ = std::make_unique<Parts>(plan, scene, seed, clock);
}

SimulatedChamber::~SimulatedChamber() = default;

AudioPath& SimulatedChamber::audioPath() {
    return parts_->audio;
}

Turntable& SimulatedChamber::turntable() {
    return parts_->table;
}

Attendant& SimulatedChamber::attendant() {
    return parts_->attendant;
}

Air SimulatedChamber::airNow() const {
    return parts_->airNow();
}

SimulatedChamber::Truth SimulatedChamber::truth() const {
    const Placement where = parts_->placement();
    return {where.direction, where.distanceM};
}

}  // namespace volvelle
