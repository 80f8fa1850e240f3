#pragma once

#include "Run/RunRecord.h"
#include "Sphere/Direction.h"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace volvelle {

// What a run holds of a wish to measure positions again, so that a sitting that was stopped amid it can be gone on
// with, rather than begun again.

/// How many captures of each drive there are now.
std::vector<std::size_t> captureCounts(const RunRecord& run);

/// "measuring again: horizontal:90, horizontal:-90; captures before that, drive by drive: 13, 13".
std::string redoEvent(const std::vector<NamedPosition>& redo, const std::vector<std::size_t>& before);

/// How many captures of each drive there were when measuring these very positions again began, as the last event of
/// that kind says. Nothing where that names others, or where there is none since captures were last taken over.
std::optional<std::vector<std::size_t>> begunRedo(const RunRecord& run, const std::vector<NamedPosition>& redo);

/// "captures were taken over from run 0f3a...": what was measured again before that counts no more.
std::string takenOverEvent(const std::string& fingerprint);

}  // namespace volvelle
