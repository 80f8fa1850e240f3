#pragma once

#include "Families/Family.h"
#include "Families/OrbitIndex.h"
#include "Response/ResolvedRecipe.h"
#include "Run/RunRecord.h"

#include <cstddef>
#include <map>
#include <string>
#include <vector>

namespace volvelle {

/// "not measured or left out: horizontal:50, vertical:-10 and 12 more".
std::string missingPositions(const std::vector<std::string>& names);

/// Noise in a capture's windowed response re its level, per judged octave, from what was judged at its
/// intake.
std::vector<double> noiseShareDb(const Capture& capture, const ResolvedRecipe& recipe);

/// Adds what a reader of the family has to know: doubtful captures used, the difference of 0° and 180°
/// between the stances, nearness, true directions that depart from their nominal ones, which weights were
/// used. levels: of positions, on the family's grid.
void addNotes(Family& family, const RunRecord& run, const DriveRecord& drive,
              const std::vector<MeasuredPosition>& positions, const OrbitIndex& index,
              const std::map<std::size_t, std::vector<float>>& levels);

}  // namespace volvelle
