#pragma once

#include "Families/Family.h"

#include <functional>
#include <string>
#include <vector>

namespace volvelle {

/// A column of a family's table: its name, and the cell for each frequency's index.
struct FamilyColumn {
    std::string name;
    std::function<std::string(std::size_t)> cell;
};

/// All columns in their order: frequency_hz; on-axis to estimated in-room (always all of them); the family's
/// further curves, each under its key and "_db"; phase and group delay on the axis; harmonics 2 to 5, their
/// floors, and the total; beamwidths. Levels with 4 decimals, frequencies with 9 significant digits; empty
/// where not known; "none" where the beam never falls by 6 dB. The family must outlive them.
std::vector<FamilyColumn> familyColumns(const Family& family);

/// The curve of that key, or nothing.
const Curve* findCurve(const Family& family, const std::string& key);

}  // namespace volvelle
