#pragma once

#include "Run/Plan.h"
#include "Sphere/AngleSet.h"
#include "Sphere/Direction.h"

#include <array>
#include <string>

namespace volvelle {

/// Where a table stands to show the microphone a position.
struct PositionPose {
    double tableDeg;  ///< as the table counts, within its soft limits
    double tiltDeg;   ///< elevation of the microphone above the table's plane; 0 without a second axis
};

/// The pose for a position. A unit turned counter-clockwise, seen from above, shows the microphone the
/// negative angle: upright at the horizontal angle a the table stands at -a, counted counter-clockwise. On
/// its left side the unit's z points to where its left was, so the vertical angle v needs the table at -v; on
/// its right side at +v. A tilt axis raises the microphone: the tilt is the elevation, the table stands for
/// the azimuth. Of several table angles within the soft limits (-180 ... 180 where not stated) the one
/// nearest zero, of two as near the positive. Throws Error{input} at `source` where none is within them.
PositionPose poseOf(const SetPosition& position, const TablePlan& table, const std::string& source = "plan");

/// Where the microphone stands, seen from the reference point.
struct Placement {
    Direction direction;  ///< true direction
    double distanceM;
};

/// The true direction and distance where the reference point lies off the rotation axis.
///
/// In the unit's coordinates (x ahead, y left, z up) the microphone is at R u, where u is the commanded
/// direction, and the reference point at `offsetM` (not-a-number counts as 0; what lies along an axis that
/// has no effect is left out by the caller, see effectiveOffset); so it is at M = R u - offset from the
/// reference point. R is such that |M| is distanceM at 0°, or in this very direction where `statedHere`.
/// Throws Error{input} at `source` if the offset is not smaller than the distance.
Placement placed(const Direction& commanded, const std::array<double, 3>& offsetM, double distanceM,
                 bool statedHere, const std::string& source);

/// The offset without its part along the table's axis, which has no effect because the microphone is set to
/// the reference point's height: z upright, y on its side. Not a number becomes 0.
std::array<double, 3> effectiveOffset(const std::array<double, 3>& offsetM, Stance stance);

/// The true direction and distance of a position of a planned run. Throws Error{input} at `source` where the
/// plan states no distance, and as `placed`.
Placement placementOf(const SetPosition& position, const Plan& plan, const std::string& source = "plan");

}  // namespace volvelle
