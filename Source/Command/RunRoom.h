#pragma once

#include "Command/RunBench.h"
#include "Run/CapturesUnderWay.h"
#include "Sphere/Direction.h"

#include <string>
#include <vector>

namespace volvelle {

// Before anything moves: is there room for what is still to be captured and for the run that is sealed of it all? Each
// throws Error{output} that says what is needed and what is left.

/// For a run that begins. Throws Error{output} also where its folder is missing or takes no files.
void requireRoomToBegin(const PlannedRun& planned, const std::string& runPath);

/// For a run that takes the captures of a sealed one over and measures some positions again. Throws likewise.
void requireRoomToBegin(const PlannedRun& planned, const std::string& runPath, const std::string& parentPath,
                        const std::vector<NamedPosition>& redo);

/// For a run that was stopped: what of it is on the disk takes no more room, but once more when it is sealed.
void requireRoomToGoOn(const PlannedRun& planned, const CapturesUnderWay& captures,
                       const std::vector<NamedPosition>& redo);

}  // namespace volvelle
