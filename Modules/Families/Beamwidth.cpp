#include "Families/Beamwidth.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

namespace volvelle {

namespace {

constexpr double dropDb = 6;
constexpr double standardStepDeg = 10;  // of CTA-2034-A
constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

/// Angle at which the level, going away from 0° in one direction round the orbit, falls to the limit.
/// index(i): number of the i-th angle on that way, i = 1, 2 ...; distance(i): how far it lies from 0°.
template <typename Index, typename Distance>
double crossing(std::span<const double> levelDb, double axisDb, std::size_t steps, double widestStepDeg,
                Index index, Distance distance) {
    double previousAngle = 0, previousLevel = axisDb;
    for (std::size_t i = 1; i <= steps; ++i) {
        const double level = levelDb[index(i)], angle = distance(i);
        if (!std::isfinite(level) || angle - previousAngle > widestStepDeg) return unknown;
        const double limit = axisDb - dropDb;
        if (level <= limit)
            return previousAngle +
                   (angle - previousAngle) * (previousLevel - limit) / (previousLevel - level);
        previousAngle = angle;
        previousLevel = level;
    }
    return previousAngle == 180 ? std::numeric_limits<double>::infinity() : unknown;
}

}  // namespace

double widestStepDeg(std::span<const double> anglesDeg) {
    std::vector<double> steps;
    for (std::size_t i = 1; i < anglesDeg.size(); ++i) steps.push_back(anglesDeg[i] - anglesDeg[i - 1]);
    if (steps.empty()) return standardStepDeg;
    const auto middle = steps.begin() + std::ssize(steps) / 2;
    std::nth_element(steps.begin(), middle, steps.end());
    return std::max(standardStepDeg, *middle) + 0.01;  // angles are told apart to a hundredth
}

double beamwidthDeg(std::span<const double> anglesDeg, std::span<const double> levelDb,
                    double widestStepDeg) {
    const auto found = std::lower_bound(anglesDeg.begin(), anglesDeg.end(), 0.0);
    if (found == anglesDeg.end() || *found != 0) return unknown;
    const auto axis = static_cast<std::size_t>(found - anglesDeg.begin());
    if (!std::isfinite(levelDb[axis])) return unknown;
    const std::size_t last = anglesDeg.size() - 1;
    const bool closed = anglesDeg[last] == 180;  // 180° ends both ways
    const double left = crossing(
        levelDb, levelDb[axis], last - axis, widestStepDeg, [&](std::size_t i) { return axis + i; },
        [&](std::size_t i) { return anglesDeg[axis + i]; });
    const double right = crossing(
        levelDb, levelDb[axis], axis + (closed ? 1 : 0), widestStepDeg,
        [&](std::size_t i) { return i <= axis ? axis - i : last; },
        [&](std::size_t i) { return i <= axis ? -anglesDeg[axis - i] : 180.0; });
    return left + right;
}

}  // namespace volvelle
