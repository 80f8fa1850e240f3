#pragma once

#include "Response/ImpulseSource.h"
#include "Response/ResolvedRecipe.h"
#include "Run/ReadableRun.h"

#include <cstddef>
#include <optional>
#include <vector>

namespace volvelle {

/// One axis check against the position measured in its direction, or the first check there.
struct DriftComparison {
    std::vector<double> departure;  ///< [frequency] squared, less what noise explains of it, relative to the axis
    double spanS = notStated;       ///< time between the two captures (UTC)
};

/// When a capture was made, in seconds of UTC since 1970; not a number where not stated.
double timeOf(const Capture& capture);

/// What single captures of one drive tell of how well it repeats: means over third octaves.
struct CaptureScatter {
    /// Rows of frequencies, one for each of the positions asked for: expected squared departure (Pa²) of the
    /// pressure that the recipe takes from the mean of many repeats, s² = Σ|p_k - p̄|² / (n - 1), over n where
    /// the recipe takes their mean. Negative: not repeated. Empty: no position was.
    std::vector<double> repeats;
    std::vector<DriftComparison> drifts;  ///< in order of the checks; empty: no checks
};

/// positions: numbers in measuredPositions(drive, recipe), nothing for rows that the drive does not have.
CaptureScatter captureScatter(const ReadableRun& run, std::size_t drive, const ImpulseSource& source,
                              const ResolvedRecipe& recipe, const std::vector<double>& frequencyHz,
                              const std::vector<std::optional<std::size_t>>& positions, int jobs);

}  // namespace volvelle
