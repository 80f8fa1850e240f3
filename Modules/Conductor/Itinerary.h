#pragma once

#include "Run/Plan.h"
#include "Sphere/AngleSet.h"
#include "turntable/Turntable.h"

#include <string>
#include <vector>

namespace volvelle {

/// One position of a run: where the table is sent, and where the microphone then is, seen from the unit.
struct Stop {
    SetPosition position;
    TablePose pose;
    Direction direction;  ///< true direction from the reference point
    double distanceM;     ///< microphone to reference point along it
    std::string name;     ///< "horizontal:50"
};

/// The positions that are reached without touching the unit, and the axis as that stance sees it.
struct Leg {
    Stance stance = Stance::upright;
    Stop axis;
    std::vector<Stop> stops;
};

/// The way of a run: upright first, then on its side; within a leg by the table's angle from its lowest limit
/// on (with a second axis: along one of them there and back, whichever way is shorter), or as the set lists the
/// positions. Throws Error{input} for a plan that states no distance, and where
/// the table's limits cannot reach a position.
std::vector<Leg> itinerary(const Plan& plan, const AngleSet& set);

}  // namespace volvelle
