#include "Ingest/Placement.h"

namespace volvelle {

Placement placementOf(const ManifestRow& row, const std::array<double, 3>& offsetM, double distanceM,
                      const std::string& where) {
    std::array<double, 3> offset = offsetM;
    if (row.orbit)
        offset = effectiveOffset(offsetM, *row.orbit == Orbit::horizontal ? Stance::upright : Stance::onSide);
    return placed(row.direction, offset, row.distanceM.value_or(distanceM), row.distanceM.has_value(), where);
}

}  // namespace volvelle
