#pragma once

#include "Sections/HeldSections.h"
#include "Sphere/AngleSet.h"
#include "Sphere/Direction.h"

#include <complex>
#include <functional>
#include <string>
#include <utility>
#include <vector>

namespace volvelle::handmade {

/// Pressure in a direction at a frequency.
using Field = std::function<std::complex<double>(const Direction& d, double frequencyHz)>;

inline HeldDrive drive(const std::string& name, const HeldSections& held, const Field& field) {
    HeldDrive out;
    out.name = name;
    for (const MeasuredPosition& p : held.positions) {
        out.present.push_back(1);
        out.temperatureC.push_back(20);
        out.distanceM.push_back(2);
        out.timeS.push_back(0);
        for (const double f : held.grids.computedHz) out.pressure.push_back(field(p.direction, f));
    }
    return out;
}

/// 72 positions of two orbits of 10°, without noise.
inline HeldSections sections(const std::vector<std::pair<std::string, Field>>& parts, const Field& whole,
                             std::vector<double> frequencyHz = {100, 200, 400, 1000, 3000, 10000}) {
    HeldSections held;
    held.grids = {frequencyHz, frequencyHz};
    for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
        for (const double angle : orbitAngles(10)) {
            MeasuredPosition p;
            p.direction = directionOn(orbit, angle);
            p.orbit = orbit;
            p.angleDeg = angle;
            p.name = positionName(p.direction, orbit);
            held.positions.push_back(p);
        }
    for (const auto& [name, field] : parts) {
        held.sections.push_back(name);
        held.parts.push_back(drive(name, held, field));
    }
    held.whole = drive("whole", held, whole);
    held.head.validity.excited = {20, 20000};
    held.head.validity.chamberLowestHz = 0;
    return held;
}

/// Nothing about it is symmetric.
inline std::complex<double> lopsided(const Direction& d, double f) {
    const auto u = unitVector(d);
    return std::polar(0.3 + 0.2 * u[0] + 0.05 * u[1] * u[2], -f * 1e-3 * (6 + u[1]) + u[2]);
}

inline std::complex<double> otherOne(const Direction& d, double f) {
    const auto u = unitVector(d);
    return std::polar(0.2 - 0.1 * u[0] + 0.02 * u[1], -f * 1e-3 * (6.5 + 0.4 * u[0]));
}

}  // namespace volvelle::handmade
