#include "Sphere/Direction.h"

#include "Text/Error.h"
#include "Text/Number.h"

#include <cmath>
#include <numbers>

namespace volvelle {
namespace {

constexpr double radPerDeg = std::numbers::pi / 180;
constexpr double toleranceDeg = 0.01;
constexpr double poleToleranceDeg = 1e-9;
constexpr double nameStepsPerDeg = 1e6;

double rounded(double angleDeg) {
    return std::round(angleDeg * nameStepsPerDeg) / nameStepsPerDeg + 0.0;
}

std::string angleText(double angleDeg) {
    return shortestText(foldedDeg(rounded(angleDeg)));
}

[[noreturn]] void refusePosition(const std::string& text, const std::string& problem) {
    throw Error(ErrorKind::usage, problem, "position '" + text + "'",
                "Write it like horizontal:50, vertical:-30 or azimuth:30,elevation:20");
}

double angleIn(const std::string& number, const std::string& text) {
    const auto value = parseNumber(number);
    if (!value || !std::isfinite(*value)) refusePosition(text, "'" + number + "' is not an angle in degrees");
    if (std::abs(*value) > 360) refusePosition(text, "the angle lies outside -360 to 360 degrees");
    return *value;
}

NamedPosition parseAzimuthElevation(const std::string& text) {
    constexpr std::string_view first = "azimuth:", second = ",elevation:";
    const auto comma = text.find(second);
    if (comma == std::string::npos) refusePosition(text, "the elevation is missing");
    const double azimuth = angleIn(text.substr(first.size(), comma - first.size()), text);
    const double elevation = angleIn(text.substr(comma + second.size()), text);
    if (std::abs(elevation) > 90) refusePosition(text, "the elevation lies outside -90 to 90 degrees");
    return {direction(azimuth, elevation), std::nullopt};
}

}  // namespace

double foldedDeg(double angleDeg) {
    const double folded = std::remainder(angleDeg, 360.0);
    return folded == -180 ? 180 : folded + 0.0;  // + 0.0: no negative zero
}

Direction direction(double azimuthDeg, double elevationDeg) {
    if (!std::isfinite(azimuthDeg) || !std::isfinite(elevationDeg))
        throw Error(ErrorKind::input, "azimuth and elevation must be finite", "direction",
                    "Give both in degrees");
    if (std::abs(elevationDeg) > 90)
        throw Error(ErrorKind::input, "elevation " + shortestText(elevationDeg) + " is out of range",
                    "direction",
                    "Give an elevation from -90 to 90 degrees; behind the zenith the azimuth changes by 180");
    if (90 - std::abs(elevationDeg) < poleToleranceDeg) return {0, std::copysign(90.0, elevationDeg)};
    return {foldedDeg(azimuthDeg), elevationDeg + 0.0};
}

Direction directionOn(Orbit orbit, double angleDeg) {
    if (!std::isfinite(angleDeg))
        throw Error(ErrorKind::input, "the angle must be finite", orbitName(orbit) + " orbit",
                    "Give it in degrees");
    const double a = foldedDeg(angleDeg);
    if (orbit == Orbit::horizontal) return direction(a, 0);
    if (std::abs(a) <= 90) return direction(0, a);
    return direction(180, std::copysign(180.0, a) - a);
}

std::optional<double> angleOn(Orbit orbit, const Direction& d) {
    if (orbit == Orbit::horizontal)
        return std::abs(d.elevationDeg) <= toleranceDeg ? std::optional(foldedDeg(d.azimuthDeg))
                                                        : std::nullopt;
    if (d.azimuthDeg == 0) return foldedDeg(d.elevationDeg);
    if (d.azimuthDeg == 180) return foldedDeg(180 - d.elevationDeg);
    const auto [x, y, z] = unitVector(d);
    if (std::asin(std::abs(y)) > toleranceDeg * radPerDeg) return std::nullopt;
    return foldedDeg(std::atan2(z, x) / radPerDeg);
}

std::array<double, 3> unitVector(const Direction& d) {
    const double azimuth = d.azimuthDeg * radPerDeg, elevation = d.elevationDeg * radPerDeg;
    const double across = std::cos(elevation);
    return {across * std::cos(azimuth), across * std::sin(azimuth), std::sin(elevation)};
}

Direction directionOf(const std::array<double, 3>& vector) {
    const auto [x, y, z] = vector;
    const double across = std::hypot(x, y);
    if (!(std::hypot(across, z) > 0))
        throw Error(ErrorKind::input, "a vector without length has no direction", "direction",
                    "Give a vector that is not zero");
    return direction(std::atan2(y, x) / radPerDeg, std::atan2(z, across) / radPerDeg);
}

double angleBetweenDeg(const Direction& a, const Direction& b) {
    const auto u = unitVector(a), v = unitVector(b);
    const double cx = u[1] * v[2] - u[2] * v[1], cy = u[2] * v[0] - u[0] * v[2],
                 cz = u[0] * v[1] - u[1] * v[0];
    const double dot = u[0] * v[0] + u[1] * v[1] + u[2] * v[2];
    return std::atan2(std::hypot(cx, cy, cz), dot) / radPerDeg;
}

bool sameDirection(const Direction& a, const Direction& b) {
    return angleBetweenDeg(a, b) <= toleranceDeg;
}

Direction relativeTo(double axisAzimuthDeg, const Direction& d) {
    return direction(d.azimuthDeg - axisAzimuthDeg, d.elevationDeg);
}

std::string positionName(const Direction& d, std::optional<Orbit> preferred) {
    const Orbit first = preferred.value_or(Orbit::horizontal);
    const Orbit second = first == Orbit::horizontal ? Orbit::vertical : Orbit::horizontal;
    for (const Orbit orbit : {first, second})
        if (const auto angle = angleOn(orbit, d)) return orbitName(orbit) + ":" + angleText(*angle);
    return "azimuth:" + angleText(d.azimuthDeg) + ",elevation:" + angleText(d.elevationDeg);
}

NamedPosition parsePosition(const std::string& text) {
    for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical}) {
        const std::string prefix = orbitName(orbit) + ":";
        if (text.starts_with(prefix))
            return {directionOn(orbit, angleIn(text.substr(prefix.size()), text)), orbit};
    }
    if (text.starts_with("azimuth:")) return parseAzimuthElevation(text);
    refusePosition(text, "this names no position");
}

std::string orbitName(Orbit orbit) {
    return orbit == Orbit::horizontal ? "horizontal" : "vertical";
}

std::string stanceName(Stance stance) {
    return stance == Stance::upright ? "upright" : "on-side";
}

}  // namespace volvelle
