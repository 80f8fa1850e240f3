#pragma once

#include "Ingest/Manifest.h"
#include "Run/TableGeometry.h"

#include <array>

namespace volvelle {

/// The true direction and distance of a capture whose reference point lies off the rotation axis (see
/// `placed` in Run/TableGeometry.h): distanceM holds at 0°, or where the manifest states a distance for this
/// row, that in this row. On an orbit the part of the offset along the table's axis (z on the horizontal
/// orbit, y on the vertical one) has no effect, because the microphone is set to the reference point's
/// height; it is left out. offset in metres; not-a-number counts as 0. Throws Error{input} at `where` if the
/// offset is not smaller than the distance.
Placement placementOf(const ManifestRow& row, const std::array<double, 3>& offsetM, double distanceM,
                      const std::string& where);

}  // namespace volvelle
