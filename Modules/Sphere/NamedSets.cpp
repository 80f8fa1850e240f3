#include "Sphere/AlikeDirections.h"
#include "Sphere/AngleSet.h"
#include "Sphere/Quadrature.h"
#include "Text/Error.h"
#include "Text/InQuotes.h"
#include "Text/Nearest.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace volvelle {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

SetPosition onOrbit(Orbit orbit, double angleDeg, Stance stance, double weight) {
    return {orbit, angleDeg, directionOn(orbit, angleDeg), stance, weight};
}

AngleSet onAxis() {
    AngleSet set;
    set.positions.push_back(onOrbit(Orbit::horizontal, 0, Stance::upright, 1));
    set.quadrature = "one direction: exact only for a sound that is the same everywhere (order 0)";
    return set;
}

AngleSet horizontalEvery(double stepDeg) {
    AngleSet set;
    const auto angles = orbitAngles(stepDeg);
    for (const double angle : angles)
        set.positions.push_back(
            onOrbit(Orbit::horizontal, angle, Stance::upright, 1 / static_cast<double>(angles.size())));
    set.quadrature = fmt::format(
        "mean over the horizontal circle, exact up to its order {}; of the sphere it knows no more than that "
        "plane (order 0)",
        angles.size() - 1);
    return set;
}

/// How much too high the power of a beam reads.
struct KnownError {
    double stepDeg, at4kHzDb, at8kHzDb;
};
constexpr KnownError knownErrors[] = {{10, 0.69, 0.93}, {5, 0.66, 0.84}, {2, 0.66, 0.81}};

AngleSet twoOrbitsEvery(double stepDeg, bool hasTilt) {
    AngleSet set;
    const auto weights = orbitWeights(stepDeg);
    const auto weightAt = [&](double angle) {
        return weights[static_cast<std::size_t>(std::lround(std::abs(angle) / stepDeg))].weight;
    };
    const auto isShared = [](double angle) { return angle == 0 || angle == 180; };
    for (const double angle : orbitAngles(stepDeg))
        set.positions.push_back(
            onOrbit(Orbit::horizontal, angle, Stance::upright, weightAt(angle) * (isShared(angle) ? 4 : 1)));
    for (const double angle : orbitAngles(stepDeg)) {
        if (hasTilt && isShared(angle)) continue;
        set.positions.push_back(onOrbit(Orbit::vertical, angle, hasTilt ? Stance::upright : Stance::onSide,
                                        isShared(angle) ? 0 : weightAt(angle)));
    }
    for (const auto& known : knownErrors)
        if (known.stepDeg == stepDeg)
            set.quadrature = fmt::format(
                "areas of ANSI/CTA-2034-A appendix C, exact up to order 1 only (patterns as smooth as a figure of eight); the power of a beam reads high: "
                "of a cap of 20° half-angle on a sphere of 0.15 m at 2 m by {} dB at 4 kHz, {} dB at 8 kHz",
                fixedText(known.at4kHzDb, 2), fixedText(known.at8kHzDb, 2));
    return set;
}

SetPosition anywhere(const Direction& d, double weight) {
    for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
        if (const auto angle = angleOn(orbit, d)) return {orbit, *angle, d, Stance::upright, weight};
    return {std::nullopt, nan, d, Stance::upright, weight};
}

AngleSet sphereEvery(double stepDeg) {
    AngleSet set;
    const auto rings = static_cast<std::size_t>(std::lround(180 / stepDeg));
    const auto weights = ringWeights(rings);
    const auto azimuths = orbitAngles(stepDeg);
    for (std::size_t ring = 0; ring <= rings; ++ring) {
        const double elevation = -90 + 180.0 * static_cast<double>(ring) / static_cast<double>(rings);
        if (ring == 0 || ring == rings) {
            set.positions.push_back(anywhere(direction(0, elevation), weights[ring]));
            continue;
        }
        for (const double azimuth : azimuths)
            set.positions.push_back(anywhere(direction(azimuth, elevation),
                                             weights[ring] / static_cast<double>(azimuths.size())));
    }
    set.quadrature = fmt::format(
        "rings weighted after Clenshaw and Curtis: exact up to order {}; "
        "so is the mean square of a pattern of order up to {} (details down to about {}°)",
        rings + 1, (rings + 1) / 2, fixedText(180 / ((static_cast<double>(rings) + 1) / 2), 0));
    return set;
}

std::vector<std::string> horizontalNames() {
    std::vector<std::string> names;
    for (int step = 1; step <= 90; ++step)
        if (180 % step == 0) names.push_back(fmt::format("horizontal-{}", step));
    return names;
}

bool isHorizontal(const std::string& name) {
    const auto known = horizontalNames();
    return std::find(known.begin(), known.end(), name) != known.end();
}

double stepOf(const std::string& name) {
    return static_cast<double>(parseWholeNumber(name.substr(name.rfind('-') + 1)).value_or(0));
}

AngleSet namedSet(const std::string& name, bool hasTilt) {
    if (name == "on-axis") return onAxis();
    if (isHorizontal(name)) return horizontalEvery(stepOf(name));
    const auto& known = angleSetNames();
    if (std::find(known.begin(), known.end(), name) == known.end()) {
        if (name.starts_with("horizontal-"))
            throw Error(ErrorKind::usage, fmt::format("{} is no angle set", inQuotes(name)), "angles",
                        "The step has to be a whole number of degrees that divides 180, from 1 to 90: "
                        "horizontal-10");
        throw Error(ErrorKind::usage, fmt::format("{} is no angle set", inQuotes(name)), "angles",
                    suggestion(name, known));
    }
    if (name.starts_with("two-orbits-")) return twoOrbitsEvery(stepOf(name), hasTilt);
    if (!hasTilt)
        throw Error(
            ErrorKind::usage,
            fmt::format("{} needs a table with a tilt axis: one axis reaches the two orbits only", name),
            "angles", "Choose two-orbits-10, or state that the table has a tilt axis");
    return sphereEvery(stepOf(name));
}

}  // namespace

const std::vector<std::string>& angleSetNames() {
    static const std::vector<std::string> names{
        "on-axis", "horizontal-10", "two-orbits-10", "two-orbits-5", "two-orbits-2", "sphere-10", "sphere-5"};
    return names;
}

AngleSet angleSet(const std::string& name, bool hasTilt) {
    AngleSet set = namedSet(name, hasTilt);
    set.name = name;
    set.hasTilt = hasTilt;
    return set;
}

std::size_t directionCount(const AngleSet& set) {
    std::vector<Direction> directions;
    for (const auto& position : set.positions) directions.push_back(position.direction);
    std::size_t count = 0, index = 0;
    for (const std::size_t first : firstAlike(directions)) count += first == index++ ? 1 : 0;
    return count;
}

}  // namespace volvelle
