#include "turntable/LineTableParts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace volvelle {

/// A table that cannot be asked: its word, or the time that it takes.
TableResult LineTable::awaitBlindly(double seconds, double toDeg, bool waited, Errand& errand) {
    if (!errand.wait((waited ? 0 : seconds) + dialect_.times.settleS))
        return result(TableOutcome::stopped, "a stop was asked for");
    standsDeg_ = toDeg;
    return result(TableOutcome::arrived, "");
}

/// Two readings at rest decide: at the target, or elsewhere. Nothing: go on.
std::optional<TableResult> LineTable::judgeStanding(const Reading& reading, Watch& watch) {
    const bool isThere = std::abs(reading.angleDeg - watch.toDeg) <= dialect_.toleranceDeg;
    std::optional<Reading>& first = isThere ? watch.there : watch.astray;
    (isThere ? watch.astray : watch.there).reset();
    const bool agrees = first && std::abs(first->angleDeg - reading.angleDeg) <= dialect_.toleranceDeg;
    if (!agrees) {
        first = reading;
        return std::nullopt;
    }
    if (isThere && reading.atS - first->atS >= dialect_.times.settleS)
        return result(TableOutcome::arrived, "");
    // At rest elsewhere: it may still have to begin, unless it has moved or says that it is over.
    const double restS = clock_.nowS() - watch.movedAtS;
    const bool isOver = watch.isDone || (reading.state == Reading::idle && watch.hasMoved);
    if (isThere ||
        restS < (isOver ? std::max(dialect_.times.settleS, dialect_.times.pollS) : dialect_.times.stallS))
        return std::nullopt;
    return isOver ? result(TableOutcome::missed,
                           fmt::format("it stands at {}, not at {}", degreesText(reading.angleDeg),
                                       degreesText(watch.toDeg)))
                  : result(TableOutcome::stalled,
                           fmt::format("it does not move on at {}", degreesText(reading.angleDeg)));
}

std::optional<TableResult> LineTable::judge(const Reading& reading, Watch& watch) {
    standsDeg_ = reading.angleDeg;
    if (reading.state == Reading::fault) return lost("the table reports a fault of its own");
    if (reading.state == Reading::notHomed && !watch.isHoming)
        return lost("the table does not know where it stands: it lost its power or its count");
    const auto [low, high] = std::minmax(watch.fromDeg, watch.toDeg);
    if (!watch.isHoming &&
        (reading.angleDeg < low - dialect_.overshootDeg || reading.angleDeg > high + dialect_.overshootDeg))
        return result(TableOutcome::missed, fmt::format("it ran out of its way from {} to {}: it is at {}",
                                                        degreesText(watch.fromDeg), degreesText(watch.toDeg),
                                                        degreesText(reading.angleDeg)));
    const double jumpDeg = std::abs(reading.angleDeg - watch.askedDeg);  // not a number at first
    if (jumpDeg > 3 * dialect_.speedDegPerS * (clock_.nowS() - watch.askedAtS) + dialect_.overshootDeg &&
        !watch.isHoming)
        return lost(fmt::format("its count jumped to {}: it lost its power or its count",
                                degreesText(reading.angleDeg)));
    watch.askedDeg = reading.angleDeg;
    watch.askedAtS = reading.atS;
    if (!(std::abs(reading.angleDeg - watch.movedDeg) <= dialect_.toleranceDeg / 2)) {
        watch.hasMoved = watch.hasMoved || !std::isnan(watch.movedDeg);
        watch.movedDeg = reading.angleDeg;
        watch.movedAtS = clock_.nowS();
    }
    const bool mayStand = reading.state == Reading::idle || reading.state == Reading::unsaid;
    if (mayStand) return judgeStanding(reading, watch);
    watch.there.reset();
    watch.astray.reset();
    if (clock_.nowS() - watch.movedAtS > dialect_.times.stallS && !watch.isHoming)
        return result(TableOutcome::stalled,
                      fmt::format("it does not move on at {}", degreesText(reading.angleDeg)));
    return std::nullopt;
}

TableResult LineTable::awaitArrival(Watch watch, Errand& errand) {
    for (;;) {
        if (errand.isStopped()) return result(TableOutcome::stopped, "a stop was asked for");
        const Reading reading = ask();
        if (errand.isStopped()) return result(TableOutcome::stopped, "a stop was asked for");
        if (reading.failure) return asOfMoving(*reading.failure);
        if (auto end = judge(reading, watch)) return *end;
        if (clock_.nowS() > watch.untilS) return result(TableOutcome::stalled, "it did not arrive in time");
        const double pauseS = watch.there ? std::max(dialect_.times.settleS, 1e-3) : dialect_.times.pollS;
        if (!errand.wait(pauseS)) return result(TableOutcome::stopped, "a stop was asked for");
    }
}

}  // namespace volvelle
