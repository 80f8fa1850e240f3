#pragma once

#include "Response/Positions.h"
#include "Sphere/Direction.h"

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace volvelle {

/// Finds measured positions by their angle on an orbit, seen from a drive's axis (0° or 180°).
class OrbitIndex {
public:
    OrbitIndex(const std::vector<MeasuredPosition>& positions, double axisDeg);

    /// The position at an angle. 0° and 180° stand on both orbits: the horizontal one serves, the vertical
    /// one where there is no other.
    std::optional<std::size_t> at(Orbit orbit, double angleDeg) const;
    /// The position measured on that very orbit.
    std::optional<std::size_t> measuredOn(Orbit orbit, double angleDeg) const;

    /// Angles of one orbit in growing order with their positions; 0° and 180° as at() finds them.
    struct Entry {
        double angleDeg;
        std::size_t position;
    };
    std::vector<Entry> orbit(Orbit orbit) const;

    /// Smallest of the usual steps (1, 2, 2.5, 3, 5, 10°) at which both orbits are complete; nothing where
    /// none is.
    std::optional<double> completeStepDeg() const;

private:
    bool isComplete(double stepDeg) const;

    std::map<int, std::size_t> horizontal_, vertical_;  ///< by hundredths of a degree
};

}  // namespace volvelle
