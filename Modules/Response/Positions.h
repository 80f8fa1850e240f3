#pragma once

#include "Response/Recipe.h"
#include "Run/RunRecord.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace volvelle {

/// One direction of a drive in one stance, with the captures that serve for it.
struct MeasuredPosition {
    Direction direction;         ///< nominal: on its orbit where it was measured on one
    std::optional<Orbit> orbit;  ///< the orbit that it was measured on
    double angleDeg = 0;         ///< on that orbit, -180 < a <= 180
    std::string name;            ///< "horizontal:50"
    std::vector<std::size_t>
        captures;           ///< numbers in the drive; one, or one of each repeat for the complex mean
    bool doubtful = false;  ///< one of them is
};

/// The positions of a drive in the order of its captures: kept captures, doubtful ones unless the recipe
/// excludes them; of several attempts of one repeat the last that is not doubtful, where all are the last; of
/// several repeats as the recipe says (the first, preferring one that is not doubtful, or all).
std::vector<MeasuredPosition> measuredPositions(const DriveRecord& drive, const Recipe& recipe);

}  // namespace volvelle
