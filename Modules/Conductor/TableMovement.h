#pragma once

namespace volvelle {

/// A movement from rest to rest: speeds up, runs, slows down; a short way is all of the first and the last.
/// Degrees, seconds.
struct TableMovement {
    double way;           ///< 0 or more
    double speed;         ///< above 0
    double acceleration;  ///< 0: at once
    double durationS() const;
    double wayAfter(double seconds) const;  ///< 0 ... way
};

}  // namespace volvelle
