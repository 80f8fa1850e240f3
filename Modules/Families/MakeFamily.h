#pragma once

#include "Families/Family.h"
#include "Response/KeptImpulses.h"
#include "Response/Pressures.h"
#include "Run/ReadableRun.h"

#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// The family that a recipe makes of one drive of a sealed run. Positions are worked on by `jobs` threads;
/// sums run in a fixed order, so that any number of threads gives the same bits. Curves whose positions are
/// missing are empty and say why. Throws Error{usage} for an unknown drive, Error{input} for recipes that do
/// not fit the run, Error{damaged} for captures whose digests do not agree.
Family makeFamily(const ReadableRun& run, const std::string& drive, const Recipe& recipe, int jobs);

/// The same curves from impulses kept in memory, for several drives of one run at once: what is called again
/// and again while a window's edge is moved. Distortion is left out.
std::vector<Family> makeFamilies(std::span<const KeptImpulses* const> drives, const Recipe& recipe, int jobs);

/// The axis of a drive: the recipe's, else the plan's, else 0.
double axisOf(const RunRecord& run, const DriveRecord& drive, const Recipe& recipe);

}  // namespace volvelle
