#pragma once

#include <vector>

namespace volvelle {

enum class ApproachSide { either, fromBelow, fromAbove };

/// Where a table may turn, and how. Degrees of the table's angle.
struct TurningRules {
    double lowestDeg = -180, highestDeg = 180;
    ApproachSide approach = ApproachSide::either;
    double approachDeg = 2;     ///< the last of the way, that comes from the approach's side
    bool goesShortWay = false;  ///< the table itself takes the shorter way round, whatever was wound up

    bool contains(double angleDeg) const;  ///< of the soft limits, with a billionth of a degree to spare
};

/// The angles to go to in turn, the last of them `toDeg`, so that the way between neighbours never leaves the
/// soft limits: not beyond them before an approach, and no leg so long that a table which takes the shorter
/// way round would go the other way (cables would wind up). Both ends have to lie within the limits. At a
/// limit there may be no room to approach from the wanted side: it is as much as there is.
std::vector<double> legsOf(double fromDeg, double toDeg, const TurningRules& rules);

}  // namespace volvelle
