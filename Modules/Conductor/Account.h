#pragma once

#include "Sphere/Direction.h"

#include <cstddef>
#include <string>
#include <vector>

namespace volvelle {

/// How a run ended.
enum class Ending {
    complete,
    stopped,       ///< somebody asked for it
    deviceFailed,  ///< table or audio, and the attendant did not go on
    levelLimit     ///< the microphone heard more than the plan allows
};

/// Level and delay on the axis against the drive's first check in the same stance.
struct Drift {
    std::string drive;
    Stance stance = Stance::upright;
    double levelDb = 0, delayS = 0;  ///< of the last check
    double largestDb = 0, largestS = 0;  ///< in magnitude, of all checks
    std::size_t checks = 0;              ///< after the first
};

/// What is to be said of a run at its end. Counts are of this sitting; a resumed run has several.
struct RunAccount {
    Ending ending = Ending::complete;
    std::string reason;  ///< why it ended early
    std::size_t positions = 0, positionsDone = 0;
    std::size_t captures = 0, repeated = 0;
    std::vector<std::string> doubtful;  ///< "front at horizontal:50: why", what counts and is still doubtful
    std::vector<std::string> remarks;   ///< on the run as a whole
    std::vector<Drift> drift;
    double wallS = 0;     ///< by the chamber's clock, from the first move to the end
    double neededS = 0;   ///< sweeps and decays, moves and settling alone
    double waitedS = 0;   ///< for the attendant and for warming up; part of wallS, not of neededS
    /// Time beyond what the measurement itself needs, as a ratio: (wall - waited) / needed.
    double overhead() const { return neededS > 0 ? (wallS - waitedS) / neededS : 1; }
};

}  // namespace volvelle
