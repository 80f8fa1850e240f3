#include "Conductor/Itinerary.h"

#include "Run/TableGeometry.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace volvelle {

namespace {

constexpr double sameAngleDeg = 0.005;

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

/// Step by step along one axis from below, and along the other there and back.
std::vector<Stop> thereAndBack(std::vector<Stop> stops, double TablePose::*slow, double TablePose::*quick) {
    const auto by = [](double TablePose::*axis) {
        return [axis](const Stop& a, const Stop& b) { return a.pose.*axis < b.pose.*axis; };
    };
    std::stable_sort(stops.begin(), stops.end(), by(slow));
    bool back = false;
    for (auto first = stops.begin(); first != stops.end(); back = !back) {
        const double here = first->pose.*slow;
        const auto last = std::find_if(
            first, stops.end(), [&](const Stop& stop) { return std::abs(stop.pose.*slow - here) > sameAngleDeg; });
        std::stable_sort(first, last, by(quick));
        if (back) std::reverse(first, last);
        first = last;
    }
    return stops;
}

/// Degrees of both axes, which are taken to be equally fast and to move one after the other.
double wayDeg(const std::vector<Stop>& stops) {
    double way = 0;
    for (std::size_t i = 1; i < stops.size(); ++i)
        way += std::abs(stops[i].pose.tableDeg - stops[i - 1].pose.tableDeg) +
               std::abs(stops[i].pose.tiltDeg - stops[i - 1].pose.tiltDeg);
    return way;
}

void sortByPath(std::vector<Stop>& stops) {
    auto ringByRing = thereAndBack(stops, &TablePose::tiltDeg, &TablePose::tableDeg);
    auto archByArch = thereAndBack(std::move(stops), &TablePose::tableDeg, &TablePose::tiltDeg);
    stops = wayDeg(archByArch) < wayDeg(ringByRing) ? std::move(archByArch) : std::move(ringByRing);
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
