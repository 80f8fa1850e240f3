#pragma once

#include "Sphere/Direction.h"

#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace volvelle {

/// Solid angle in steradian of the spherical quadrangle of half-angle a (0 ... 180°) about an axis: 4
/// asin(sin² a) up to 90°, 4π - S(180° - a) beyond. Basis of the weights of ANSI/CTA-2034-A appendix C.
double quadrangleSolidAngle(double halfAngleDeg);

/// One entry of the sound power weights of two orbits.
struct OrbitWeight {
    double angleDeg;  ///< 0, step ... 180
    double weight;    ///< of one measured curve at +angle or -angle of one orbit
};

/// Weights of curves measured every stepDeg (divides 180) on two orbits: (S(t + step/2) - S(t - step/2)) / (4
/// · 4π), and S(step/2) / (4 · 4π) at 0° and 180°. They add up to one when 0° and 180° are counted for each
/// of the four half-arcs.
std::vector<OrbitWeight> orbitWeights(double stepDeg);

/// The directions of one orbit every stepDeg, from 0 on, -180 < angle <= 180, in growing order of angle.
std::vector<double> orbitAngles(double stepDeg);

/// One position of an angle set: a direction, and the stance that reaches it.
struct SetPosition {
    std::optional<Orbit> orbit;  ///< the one it belongs to, where its direction lies on one
    double angleDeg = std::numeric_limits<double>::quiet_NaN();  ///< on that orbit, -180 < a <= 180
    Direction direction;                                         ///< commanded: seen from the rotation axis
    Stance stance = Stance::upright;
    double weight = 0;  ///< of its squared pressure in the mean that the set estimates; they add up to one
};

/// The positions of a run, as they are listed.
struct AngleSet {
    std::string name;  ///< "two-orbits-10", or the file that lists it
    bool hasTilt = false;
    std::vector<SetPosition> positions;
    /// What the weighted mean is of, and the order up to which it is exact or its error.
    std::string quadrature;
};

/// A set by its name:
///   on-axis         one position
///   horizontal-N    the horizontal orbit every N degrees (N divides 180, from 1 to 90)
///   two-orbits-N    both orbits every N = 10, 5 or 2 degrees. On a table of one axis the vertical orbit is
///                   measured with the unit on its side, 0° and 180° again too (72 captures at 10°): their
///                   weight is zero, the horizontal ones serve. With a tilt axis all are upright and those
///                   two are left out (70 captures).
///   sphere-N        a grid over the whole sphere every N = 10 or 5 degrees of azimuth and elevation, each
///                   pole once (614, 2522). Needs a tilt axis.
/// Throws Error{usage} for other names, suggesting the nearest, and for a set that the table cannot reach.
AngleSet angleSet(const std::string& name, bool hasTilt);

/// Names for lists and suggestions; horizontal-N by an example.
const std::vector<std::string>& angleSetNames();

/// Positions from a CSV: columns orbit and angle_deg (-360 ... 360), or azimuth_deg (-360 ... 360) and
/// elevation_deg (-90 ... 90); optional weight (0 or more; scaled to add up to one; alike where absent). The
/// stance follows from the direction and the table. 1 to 20000 positions. Throws Error{input} with line and
/// column for anything missing, unknown, out of range or listed twice, and for what a table of one axis
/// cannot reach.
AngleSet angleSetFromCsv(std::string_view text, const std::string& source, bool hasTilt);

/// How many different directions (to 0.01°) the positions have.
std::size_t directionCount(const AngleSet& set);

}  // namespace volvelle
