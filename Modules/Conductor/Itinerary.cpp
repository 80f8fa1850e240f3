#include "Conductor/Itinerary.h"

#include "Run/TableGeometry.h"

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

constexpr double sameTiltDeg = 0.005;

Stop stopAt(const SetPosition& position, const Plan& plan) {
    const PositionPose pose = poseOf(position, plan.table);
    const Placement placement = placementOf(position, plan);
    return {position,
            {pose.tableDeg, pose.tiltDeg},
            placement.direction,
            placement.distanceM,
            positionName(position.direction, position.orbit)};
}

SetPosition axisIn(Stance stance) {
    SetPosition axis;
    axis.orbit = stance == Stance::upright ? Orbit::horizontal : Orbit::vertical;
    axis.angleDeg = 0;
    axis.direction = directionOn(*axis.orbit, 0);
    axis.stance = stance;
    return axis;
}

/// By the second axis from below, and round the table there and back.
void sortByPath(std::vector<Stop>& stops) {
    std::stable_sort(stops.begin(), stops.end(),
                     [](const Stop& a, const Stop& b) { return a.pose.tiltDeg < b.pose.tiltDeg; });
    bool back = false;
    for (auto first = stops.begin(); first != stops.end(); back = !back) {
        const double tilt = first->pose.tiltDeg;
        const auto last = std::find_if(first, stops.end(), [&](const Stop& stop) {
            return std::abs(stop.pose.tiltDeg - tilt) > sameTiltDeg;
        });
        std::stable_sort(first, last, [back](const Stop& a, const Stop& b) {
            return back ? a.pose.tableDeg > b.pose.tableDeg : a.pose.tableDeg < b.pose.tableDeg;
        });
        first = last;
    }
}

}  // namespace

std::vector<Leg> itinerary(const Plan& plan, const AngleSet& set) {
    std::vector<Leg> legs;
    for (const Stance stance : {Stance::upright, Stance::onSide}) {
        Leg leg;
        leg.stance = stance;
        for (const SetPosition& position : set.positions)
            if (position.stance == stance) leg.stops.push_back(stopAt(position, plan));
        if (leg.stops.empty()) continue;
        if (plan.angles.shortestPath) sortByPath(leg.stops);
        leg.axis = stopAt(axisIn(stance), plan);
        legs.push_back(std::move(leg));
    }
    return legs;
}

}  // namespace volvelle
