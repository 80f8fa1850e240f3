#pragma once

#include "Clock/Clock.h"
#include "turntable/Dialect.h"
#include "turntable/LineTalk.h"
#include "turntable/Turntable.h"
#include "turntable/Wire.h"

#include <memory>
#include <mutex>
#include <optional>
#include <string>

namespace volvelle {

/// A table of one axis that speaks a dialect over a wire.
///
/// It says `arrived` only after two readings within the tolerance that agree and lie the dialect's settling
/// time apart (where the table cannot be asked: after its answer, or the time that the way takes, and the
/// settling time). Before each move it is asked whether it still stands where it was left. After anything but
/// `arrived`, `refused` and a stop that keeps zero it has to be homed; home() opens a line that has dropped
/// again. A stop, also one that the caller's token asks for, puts the dialect's stop bytes on the wire at
/// once from the thread that asks, and no command that turns the table follows them. A pose with a tilt other
/// than 0 is refused. The dialect's file decides how long each call may block.
class LineTable final : public Turntable {
public:
    /// clock: kept by reference.
    LineTable(Dialect dialect, std::unique_ptr<Wire> wire, Clock& clock);

    const TableFacts& facts() const override { return facts_; }
    TableResult home(std::stop_token stop) override;
    TableResult moveTo(const TablePose& pose, std::stop_token stop) override;
    TableResult where() override;
    void stop() noexcept override;

    /// Takes the table's own count for right without homing: it was homed, by somebody who knows. Opens the
    /// line where that has not been done. `arrived`, with its pose, or `lost`.
    TableResult trustItsCount();

private:
    struct Reading;
    class Errand;
    struct Watch;
    unsigned long stopsSoFar();
    TableResult connect();
    TableResult runHome(Errand& errand);
    TableResult runMove(double targetDeg, Errand& errand);
    TableResult runLeg(double fromDeg, double toDeg, Errand& errand);
    TableResult afterFailure(TableResult found);
    TableResult afterStop();
    std::optional<TableResult> leave(double& fromDeg);
    std::optional<TableResult> say(const std::vector<DialectStep>& steps, double angleDeg, double arrivalS,
                                   Errand& errand, bool& waitedForArrival);
    std::optional<TableResult> failureOf(const TalkResult& talk, Patience within);
    Reading ask();
    Reading askOnce();
    TableResult awaitArrival(Watch watch, Errand& errand);
    TableResult awaitBlindly(double seconds, double toDeg, bool waited, Errand& errand);
    std::optional<TableResult> judge(const Reading& reading, Watch& watch);
    std::optional<TableResult> judgeStanding(const Reading& reading, Watch& watch);
    TableResult result(TableOutcome outcome, std::string what) const;
    double wayS(double fromDeg, double toDeg) const;

    Dialect dialect_;
    std::unique_ptr<Wire> wire_;
    Clock& clock_;
    LineTalk talk_;
    TableFacts facts_;
    std::string stopBytes_;
    bool isOpen_ = false, isHomed_ = false;
    bool isCurable_ = true;  ///< what failed last may be asked again
    double standsDeg_;       ///< as last read or commanded

    std::mutex sending_;  ///< of what follows, and so that nothing that turns the table follows a stop
    unsigned long stops_ = 0;
};

}  // namespace volvelle
