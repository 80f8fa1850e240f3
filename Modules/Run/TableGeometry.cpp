#include "Run/TableGeometry.h"

#include "Text/Error.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <cmath>
#include <optional>

namespace volvelle {
namespace {

using Vector = std::array<double, 3>;

constexpr double limitSlackDeg = 1e-6;

double dot(const Vector& a, const Vector& b) {
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/// R with |R u - offset| = distance.
double radius(const Vector& u, const Vector& offset, double distance) {
    const double along = dot(u, offset);
    return along + std::sqrt(distance * distance - dot(offset, offset) + along * along);
}

/// The table's angle counted counter-clockwise from above.
double counterClockwiseDeg(const SetPosition& position, const TablePlan& table) {
    if (position.stance == Stance::upright) return -position.direction.azimuthDeg;
    const double vertical = angleOn(Orbit::vertical, position.direction).value_or(position.angleDeg);
    return table.liesOnLeftSide ? -vertical : vertical;
}

std::optional<double> withinLimits(double angleDeg, double lowest, double highest) {
    std::optional<double> best;
    for (double turned = foldedDeg(angleDeg) - 720; turned <= 720; turned += 360) {
        if (turned < lowest - limitSlackDeg || turned > highest + limitSlackDeg) continue;
        if (!best || std::abs(turned) <= std::abs(*best)) best = turned;
    }
    return best;
}

}  // namespace

PositionPose poseOf(const SetPosition& position, const TablePlan& table, const std::string& source) {
    const double lowest = std::isnan(table.lowestDeg) ? -180 : table.lowestDeg;
    const double highest = std::isnan(table.highestDeg) ? 180 : table.highestDeg;
    const double turned = counterClockwiseDeg(position, table) * (table.countsClockwise ? -1 : 1);
    const auto angle = withinLimits(turned, lowest, highest);
    if (!angle)
        throw Error(ErrorKind::input,
                    fmt::format("/table keeps to {} to {} degrees, but {} needs {}", shortestText(lowest),
                                shortestText(highest), positionName(position.direction, position.orbit),
                                shortestText(foldedDeg(turned))),
                    source, "Choose another angle set, or state the table's real soft limits");
    return {*angle + 0.0, position.stance == Stance::upright ? position.direction.elevationDeg : 0};
}

std::array<double, 3> effectiveOffset(const std::array<double, 3>& offsetM, Stance stance) {
    std::array<double, 3> offset = offsetM;
    for (double& part : offset)
        if (!std::isfinite(part)) part = 0;
    offset[stance == Stance::upright ? 2 : 1] = 0;
    return offset;
}

Placement placed(const Direction& commanded, const std::array<double, 3>& offsetM, double distanceM,
                 bool statedHere, const std::string& source) {
    Vector offset = offsetM;
    for (double& part : offset)
        if (!std::isfinite(part)) part = 0;
    if (dot(offset, offset) == 0) return {commanded, distanceM};
    if (std::sqrt(dot(offset, offset)) >= distanceM) {
        throw Error(
            ErrorKind::input,
            fmt::format("the reference point lies {} m off the rotation axis, the microphone only {} m away",
                        significantText(std::sqrt(dot(offset, offset)), 4), shortestText(distanceM)),
            source, "Check the plan's reference point and the distance");
    }
    const Vector u = unitVector(commanded);
    const double r = radius(statedHere ? u : Vector{1, 0, 0}, offset, distanceM);
    const Vector m{r * u[0] - offset[0], r * u[1] - offset[1], r * u[2] - offset[2]};
    return {directionOf(m), std::sqrt(dot(m, m))};
}

Placement placementOf(const SetPosition& position, const Plan& plan, const std::string& source) {
    if (std::isnan(plan.distanceM))
        throw Error(ErrorKind::input, "/distance_m is missing", source,
                    "State the distance from the microphone to the reference point at 0°");
    return placed(position.direction, effectiveOffset(plan.referencePointM, position.stance), plan.distanceM,
                  false, source);
}

}  // namespace volvelle
