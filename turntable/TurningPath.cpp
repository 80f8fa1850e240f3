#include "turntable/TurningPath.h"

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

constexpr double slackDeg = 1e-9;
constexpr double longestLegDeg = 120;  // well below the half turn at which the shorter way changes sides

/// Where to go first so that the end is approached from its side; `toDeg` itself where nothing is needed.
double turningPointOf(double fromDeg, double toDeg, const TurningRules& rules) {
    const bool below = rules.approach == ApproachSide::fromBelow;
    if (rules.approach == ApproachSide::either) return toDeg;
    const double wayFromSide = below ? toDeg - fromDeg : fromDeg - toDeg;
    if (wayFromSide >= rules.approachDeg) return toDeg;
    return below ? std::max(rules.lowestDeg, toDeg - rules.approachDeg)
                 : std::min(rules.highestDeg, toDeg + rules.approachDeg);
}

void addLeg(std::vector<double>& legs, double fromDeg, double toDeg, bool goesShortWay) {
    const int parts =
        goesShortWay ? std::max(1, static_cast<int>(std::ceil(std::abs(toDeg - fromDeg) / longestLegDeg)))
                     : 1;
    for (int i = 1; i < parts; ++i) legs.push_back(fromDeg + (toDeg - fromDeg) * i / parts);
    legs.push_back(toDeg);
}

}  // namespace

bool TurningRules::contains(double angleDeg) const {
    return angleDeg >= lowestDeg - slackDeg && angleDeg <= highestDeg + slackDeg;
}

std::vector<double> legsOf(double fromDeg, double toDeg, const TurningRules& rules) {
    std::vector<double> legs;
    const double turning = turningPointOf(fromDeg, toDeg, rules);
    if (std::abs(turning - toDeg) > slackDeg && std::abs(turning - fromDeg) > slackDeg)
        addLeg(legs, fromDeg, turning, rules.goesShortWay);
    addLeg(legs, legs.empty() ? fromDeg : legs.back(), toDeg, rules.goesShortWay);
    return legs;
}

}  // namespace volvelle
