#include "Ingest/Placement.h"

#include "Text/Error.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <cmath>

namespace volvelle {

namespace {

using Vector = std::array<double, 3>;

double dot(const Vector& a, const Vector& b) {
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/// R with |R u - offset| = distance.
double radius(const Vector& u, const Vector& offset, double distance) {
    const double along = dot(u, offset);
    return along + std::sqrt(distance * distance - dot(offset, offset) + along * along);
}

}  // namespace

Placement placementOf(const ManifestRow& row, const std::array<double, 3>& offsetM, double distanceM,
                      const std::string& where) {
    Vector offset = offsetM;
    for (double& part : offset) {
        if (!std::isfinite(part)) part = 0;
    }
    if (row.orbit) offset[*row.orbit == Orbit::horizontal ? 2 : 1] = 0;
    const double stated = row.distanceM.value_or(distanceM);
    if (dot(offset, offset) == 0) return {row.direction, stated};
    if (std::sqrt(dot(offset, offset)) >= stated) {
        throw Error(
            ErrorKind::input,
            fmt::format("the reference point lies {} m off the rotation axis, the microphone only {} m away",
                        shortestText(std::sqrt(dot(offset, offset))), shortestText(stated)),
            where, "Check the plan's reference point and the distance");
    }
    const Vector u = unitVector(row.direction);
    const double r = radius(row.distanceM ? u : Vector{1, 0, 0}, offset, stated);
    const Vector m{r * u[0] - offset[0], r * u[1] - offset[1], r * u[2] - offset[2]};
    return {directionOf(m), std::sqrt(dot(m, m))};
}

}  // namespace volvelle
