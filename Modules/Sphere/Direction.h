#pragma once

#include <array>
#include <optional>
#include <string>

namespace volvelle {

/// The two circles that CTA-2034-A measures. Horizontal angles grow from x (ahead) towards y (left), vertical
/// ones from x towards z (up).
enum class Orbit { horizontal, vertical };

/// How the unit lies on the table.
enum class Stance { upright, onSide };

/// A direction seen from the unit. Azimuth -180 < a <= 180 from x towards y, elevation -90 ... 90; at a pole
/// azimuth is 0.
struct Direction {
    double azimuthDeg = 0;
    double elevationDeg = 0;
};

/// The angle folded to -180 < a <= 180.
double foldedDeg(double angleDeg);

/// Normalises azimuth and elevation as Direction describes. Throws Error{input} for non-finite values or
/// |elevation| > 90.
Direction direction(double azimuthDeg, double elevationDeg);

/// The direction at an angle (any finite value; 270 is -90) of an orbit. Vertical 100° is azimuth 180°,
/// elevation 80°.
Direction directionOn(Orbit orbit, double angleDeg);

/// The angle at which a direction lies on an orbit (-180 < a <= 180), or nothing if it is over 0.01° off it.
std::optional<double> angleOn(Orbit orbit, const Direction& d);

/// Unit vector {x, y, z}.
std::array<double, 3> unitVector(const Direction& d);
Direction directionOf(const std::array<double, 3>& vector);

/// Angle between two directions in degrees, 0 ... 180.
double angleBetweenDeg(const Direction& a, const Direction& b);

/// The same direction to within 0.01°.
bool sameDirection(const Direction& a, const Direction& b);

/// The direction as seen from an axis turned by 0° or 180° about z: horizontal t -> t - axis; vertical t ->
/// 180 - t for 180°.
Direction relativeTo(double axisAzimuthDeg, const Direction& d);

/// "horizontal:50", "vertical:-30", else "azimuth:30,elevation:20". A direction on both orbits is named
/// horizontal unless the preferred orbit says otherwise. Numbers in the C locale, shortest form.
std::string positionName(const Direction& d, std::optional<Orbit> preferred = std::nullopt);

/// Reads what positionName writes ("horizontal:50", "azimuth:30,elevation:20"). Throws Error{usage}.
struct NamedPosition {
    Direction direction;
    std::optional<Orbit> orbit;
};
NamedPosition parsePosition(const std::string& text);

std::string orbitName(Orbit orbit);     ///< "horizontal", "vertical"
std::string stanceName(Stance stance);  ///< "upright", "on-side"

}  // namespace volvelle
