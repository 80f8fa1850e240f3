#pragma once

#include "Families/Family.h"
#include "Response/ResolvedRecipe.h"
#include "Run/RunRecord.h"

namespace volvelle {

/// The band in which the captures of a drive tell something: that of the excitation, up to half the sample
/// rate, or that of the text files' own grid.
Band excitedOf(const DriveRecord& drive);

/// Where responses and curves of a drive hold, but for their noise.
Validity validityOf(const RunRecord& run, const DriveRecord& drive, const ResolvedRecipe& recipe,
                    const Band& excited);

}  // namespace volvelle
