#pragma once

#include "Run/Plan.h"
#include "Sphere/Direction.h"

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace volvelle {

/// One file of a manifest and where it was captured.
struct ManifestRow {
    std::string file;            ///< as the manifest names it
    std::string drive;           ///< sections in the run's order, joined by +
    std::size_t line = 0;        ///< of the manifest; its first line is 1
    Direction direction;         ///< commanded: seen from the rotation axis
    std::optional<Orbit> orbit;  ///< the one it was measured on, or that its direction lies on
    double angleDeg = 0;         ///< on that orbit, -180 < a <= 180; NaN where there is none
    Stance stance = Stance::upright;
    int repeat = 1;
    std::optional<double> distanceM;  ///< microphone to reference point at this position
    std::vector<std::pair<std::string, std::string>> notes;  ///< column and text of every further column
};

struct Manifest {
    std::string source;  ///< its path, as messages call it
    std::vector<ManifestRow> rows;
    std::vector<std::string> drives;  ///< in order of first appearance

    std::string where(const ManifestRow& row) const;  ///< "MANIFEST.csv, line 3"
};

/// Reads a manifest: columns file, drive, and either orbit and angle_deg or azimuth_deg and elevation_deg;
/// optional repeat (from 1), stance (upright or on-side) and distance_m (metres); further columns are notes.
/// Angles -360 ... 360, elevation -90 ... 90, degrees. A drive is named as the plan names it or by its
/// sections joined by +, and gets the plan's name for it, else its sections in the plan's order, and where
/// the plan has no sections in the order in which the manifest first names them. Sections that no plan knows
/// are named with letters, digits, - _ and . Throws Error{input} with line and column for anything missing,
/// unknown, mixed, misspelt, out of range or stated twice.
Manifest parseManifest(std::string_view text, const std::string& source, const Plan& plan = {});

}  // namespace volvelle
