#include "Families/Beamwidth.h"

#include <cmath>
#include <limits>
#include <map>

namespace volvelle {

namespace {

constexpr double dropDb = 6;

/// Angle at which the level along growing angles falls to the limit.
double crossing(const std::map<double, double>& levels, double limitDb) {
    double previousAngle = 0, previousLevel = levels.at(0);
    for (const auto& [angle, level] : levels) {
        if (angle <= 0) continue;
        if (!std::isfinite(level)) return std::numeric_limits<double>::quiet_NaN();
        if (level <= limitDb)
            return previousAngle +
                   (angle - previousAngle) * (previousLevel - limitDb) / (previousLevel - level);
        previousAngle = angle;
        previousLevel = level;
    }
    return std::numeric_limits<double>::infinity();
}

}  // namespace

double beamwidthDeg(std::span<const double> anglesDeg, std::span<const double> levelDb) {
    std::map<double, double> left, right;
    for (std::size_t i = 0; i < anglesDeg.size(); ++i) {
        left[anglesDeg[i]] = levelDb[i];
        right[-anglesDeg[i]] = levelDb[i];
        if (anglesDeg[i] == 180) right[180] = levelDb[i];
    }
    const auto axis = left.find(0);
    if (axis == left.end() || !std::isfinite(axis->second)) return std::numeric_limits<double>::quiet_NaN();
    return crossing(left, axis->second - dropDb) + crossing(right, axis->second - dropDb);
}

}  // namespace volvelle
