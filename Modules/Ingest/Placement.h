#pragma once

#include "Ingest/Manifest.h"

#include <array>

namespace volvelle {

/// Where the microphone stands, seen from the reference point.
struct Placement {
    Direction direction;  ///< true direction
    double distanceM;
};

/// The true direction and distance of a capture whose reference point lies off the rotation axis.
///
/// In the unit's coordinates (x ahead, y left, z up) the microphone is at R u, where u is the commanded
/// direction
/// ((cos t, sin t, 0) on the horizontal orbit, (cos t, 0, sin t) on the vertical one), and the reference
/// point at `offset`; so it is at M = R u - offset from the reference point. R is such that |M| at 0° is
/// distanceM; where the manifest states a distance for this row, such that |M| in this row is that. On an
/// orbit the part of the offset along the table's axis (z upright, y on its side) has no effect, because the
/// microphone is set to the reference point's height; it is left out. offset in metres; not-a-number counts
/// as 0. Throws Error{input} at `where` if the offset is not smaller than the distance.
Placement placementOf(const ManifestRow& row, const std::array<double, 3>& offsetM, double distanceM,
                      const std::string& where);

}  // namespace volvelle
