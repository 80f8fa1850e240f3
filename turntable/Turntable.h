#pragma once

#include <limits>
#include <stop_token>
#include <string>

namespace volvelle {

/// Where a table stands: the angle of the table itself, as it counts, and of the second axis where there is
/// one (the microphone's elevation above the table's plane). Degrees; not a number: not known.
struct TablePose {
    double tableDeg = std::numeric_limits<double>::quiet_NaN();
    double tiltDeg = 0;
};

/// How a movement ended. What a table does in a laboratory is expected: it is returned, not thrown.
enum class TableOutcome {
    arrived,  ///< it stands where it was sent, within its tolerance
    stopped,  ///< a stop was asked for; it stands still
    refused,  ///< outside the soft limits, or it does not know where it is: it did not move
    stalled,  ///< it did not move on, or not in time
    missed,   ///< it stands still, but not where it was sent
    lost      ///< no answer, or none that makes sense; where it stands is not known
};

struct TableResult {
    TableOutcome outcome = TableOutcome::lost;
    TablePose pose;    ///< read back where the table can, else as commanded
    std::string what;  ///< what went wrong, in plain words; empty where it arrived
    bool arrived() const { return outcome == TableOutcome::arrived; }
};

/// What is known of a table before it moves. Degrees, seconds.
struct TableFacts {
    std::string name;
    bool hasTilt = false;    ///< a second axis that raises and lowers the microphone's direction
    bool readsBack = false;  ///< it can be asked where it stands
    double lowestDeg = -180, highestDeg = 180;  ///< soft limits of the table's angle
    double lowestTiltDeg = 0, highestTiltDeg = 0;
    double speedDegPerS = std::numeric_limits<double>::quiet_NaN();
    double toleranceDeg = 0.2;  ///< it has arrived within this
};

/// A turntable, real or simulated. One thread calls home, moveTo and where, which block; stop may be called
/// by any thread at any time. Nothing throws but for a fault of the program; none is real-time-safe.
class Turntable {
public:
    virtual ~Turntable() = default;

    virtual const TableFacts& facts() const = 0;

    /// Finds zero and stands there. Needed before the first move and after `lost`.
    virtual TableResult home(std::stop_token stop) = 0;

    /// Turns to an angle on the path that never leaves the soft limits, and returns when it stands there.
    virtual TableResult moveTo(const TablePose& pose, std::stop_token stop) = 0;

    /// Where it stands now.
    virtual TableResult where() = 0;

    /// Stops all movement at once. Any thread. It holds back no move that begins later: whoever wants none asks for
    /// a stop (of the token that moveTo is given) first, and stops then.
    virtual void stop() noexcept = 0;
};

}  // namespace volvelle
