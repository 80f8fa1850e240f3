#pragma once

#include "Response/Recipe.h"
#include "Run/RunRecord.h"

#include <string>
#include <vector>

namespace volvelle {

/// The grids of a recipe: results are wanted on one and, where they are smoothed, computed on a denser and
/// wider one that contains it.
struct Grids {
    std::vector<double> computedHz, wantedHz;
};
Grids gridsOf(const Recipe& recipe, double sampleRateHz);

/// "dB re 20 µPa at 1 m, 2.83 V at the terminals of front".
std::string levelStatement(const RunRecord& run, const DriveRecord& drive);

}  // namespace volvelle
