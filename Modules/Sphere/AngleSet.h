#pragma once

#include "Sphere/Direction.h"

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

}  // namespace volvelle
