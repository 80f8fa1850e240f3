#pragma once

#include "Conductor/Account.h"
#include "Conductor/Conductor.h"
#include "Run/RunRecord.h"

#include <string>

namespace volvelle {

/// What is to be said of a run at its end, on one page of 80 columns. path: where it lies now.
std::string accountText(const RunAccount& account, const RunRecord& run, const std::string& path);

/// What shots on the axis have found, 80 columns wide.
std::string axisShotsText(const AxisShots& shots);

}  // namespace volvelle
