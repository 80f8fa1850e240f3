#pragma once

#include "Response/ResolvedRecipe.h"
#include "Run/ReadableRun.h"

#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// What in a run differs from the first one that should not, for a fair comparison of a drive: one sentence
/// each, with the letters of the runs (A is the first). Distances over 1 mm, drive quantity and reference of
/// the level, calibration, axis, microphone correction, mean temperatures over 1 K, kind of time zero, form of the
/// captures, model.
std::vector<std::string> runDifferences(std::span<const ReadableRun* const> runs,
                                        std::span<const std::string> drives, const Recipe& recipe);

}  // namespace volvelle
