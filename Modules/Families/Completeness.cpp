#include "Families/Completeness.h"

#include "Families/CurveDefinitions.h"
#include "Families/FamilyNotes.h"
#include "Families/MakeFamily.h"
#include "Families/OrbitIndex.h"
#include "Families/PositionSums.h"
#include "Text/Number.h"

#include <fmt/core.h>

#include <set>

namespace volvelle {

std::string completeness(const RunRecord& run, const DriveRecord& drive) {
    const Recipe recipe;
    const auto positions = measuredPositions(drive, recipe);
    const OrbitIndex index(positions, axisOf(run, drive, recipe));
    std::vector<std::string> missing;
    std::set<std::string> known;
    std::size_t empty = 0, all = 0;
    for (const CurveDefinition& definition : curveDefinitions(recipe.powerWeights)) {
        const CurveSum sum = curveSum(definition, index);
        ++all;
        if (!sum.missing.empty()) ++empty;
        for (const std::string& name : sum.missing)
            if (known.insert(name).second) missing.push_back(name);
    }
    if (empty > 0)
        return fmt::format("{} of {} means over angles cannot be made; ", empty, all) +
               missingPositions(missing);
    const auto step = index.completeStepDeg();
    return step ? "all curves, from two orbits of " + significantText(*step, 3) + "°" : "all curves";
}

}  // namespace volvelle
