#pragma once

#include "Run/Capture.h"

#include <cstddef>
#include <span>
#include <string>

namespace volvelle {

/// What was said of a capture when it was taken in.
struct OwnState {
    CaptureState state = CaptureState::kept;
    std::string reason;
};

/// Both are attempts at one capture of their drive: same kind, direction, orbit, stance and repeat.
bool areAttemptsAtOne(const Capture& a, const Capture& b);

/// Of a drive's captures that are attempts at the same one as captures[newest], the last that was not judged
/// doubtful counts, else the last: it gets its own judgement, the others become superseded, with a reason that
/// names the attempt that counts and keeps why they were doubtful. `own` has one judgement for each capture.
void markSuperseded(std::span<Capture> captures, std::span<const OwnState> own, std::size_t newest);

}  // namespace volvelle
