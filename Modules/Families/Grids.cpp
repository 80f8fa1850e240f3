#include "Families/Grids.h"

#include "Response/Pressures.h"
#include "Signal/FrequencyGrid.h"

#include <algorithm>
#include <cmath>

namespace volvelle {

Grids gridsOf(const Recipe& recipe, double sampleRateHz) {
    Grids grids;
    grids.wantedHz = gridOf(recipe, sampleRateHz);
    grids.computedHz = grids.wantedHz;
    if (recipe.smoothing == 0) return grids;
    const double reach = std::exp2(0.5 / recipe.smoothing);
    const int dense = std::max(96, 8 * recipe.smoothing);
    const auto around = logarithmicGrid(grids.wantedHz.front() / reach,
                                        std::min(grids.wantedHz.back() * reach, sampleRateHz / 2), dense);
    grids.computedHz.insert(grids.computedHz.end(), around.begin(), around.end());
    std::sort(grids.computedHz.begin(), grids.computedHz.end());
    const auto same = [](double a, double b) { return b - a < 1e-10 * a; };
    grids.computedHz.erase(std::unique(grids.computedHz.begin(), grids.computedHz.end(), same),
                           grids.computedHz.end());
    return grids;
}

std::string levelStatement(const RunRecord& run, const DriveRecord& drive) {
    return "dB re 20 µPa at 1 m, " + referenceInput(run, drive).statement;
}

}  // namespace volvelle
