#pragma once

#include "Clock/Clock.h"
#include "Text/Number.h"
#include "turntable/LineTable.h"

#include <algorithm>
#include <functional>
#include <limits>
#include <mutex>
#include <optional>
#include <stop_token>
#include <string>

namespace volvelle {

// What the two halves of LineTable share: LineTable.cpp (what can be asked of it) and LineTableArrival.cpp
// (when it has arrived).

constexpr double unknownDeg = std::numeric_limits<double>::quiet_NaN();

inline std::string degreesText(double deg) {
    return fixedText(deg, 2) + "°";
}

inline TableResult lost(std::string what) {
    return {TableOutcome::lost, {unknownDeg, 0}, std::move(what)};
}

/// `refused` says that it did not move; a table that was on its way did.
inline TableResult asOfMoving(TableResult result) {
    if (result.outcome == TableOutcome::refused) result.outcome = TableOutcome::stalled;
    return result;
}

/// What the table answered when it was asked where it stands.
struct LineTable::Reading {
    enum State { unsaid, idle, moving, notHomed, fault };
    std::optional<TableResult> failure;
    double angleDeg = unknownDeg;
    State state = unsaid;
    double atS = 0;  ///< when it was asked
};

/// One call of home or moveTo: knows whether a stop was asked for since it began.
class LineTable::Errand {
public:
    Errand(LineTable& table, const std::stop_token& callers)
        : table_(table), began_(table.stopsSoFar()), passOn_(callers, [&table] { table.stop(); }) {}

    bool isStopped() const { return table_.stopsSoFar() != began_; }

    /// Sends, unless a stop was asked for: nothing that turns the table follows it.
    std::optional<bool> send(const std::string& bytes) {
        const std::scoped_lock lock(table_.sending_);
        if (table_.stops_ != began_) return std::nullopt;
        return table_.wire_->send(bytes);
    }

    /// False: a stop was asked for.
    bool wait(double seconds) const {
        const double untilS = table_.clock_.nowS() + seconds;
        while (!isStopped()) {
            const double leftS = untilS - table_.clock_.nowS();
            if (leftS <= 0) return true;
            table_.clock_.waitFor(std::min(leftS, 0.02), {});
        }
        return false;
    }

private:
    LineTable& table_;
    unsigned long began_;
    std::stop_callback<std::function<void()>> passOn_;
};

/// A movement as it is followed.
struct LineTable::Watch {
    double fromDeg, toDeg;
    bool isHoming, isDone;  ///< isDone: the table has said that the movement is over
    double untilS;
    double movedAtS;                                      ///< when a reading last differed
    double movedDeg;                                      ///< that reading
    double askedAtS = unknownDeg, askedDeg = unknownDeg;  ///< the reading before
    bool hasMoved = false;
    std::optional<Reading> there = {};   ///< first of the readings at the target
    std::optional<Reading> astray = {};  ///< first of the readings at rest elsewhere
};

}  // namespace volvelle
