#pragma once

#include "Conductor/Conductor.h"
#include "Conductor/Itinerary.h"

#include <optional>
#include <stop_token>
#include <string>

namespace volvelle {

/// The run ends here, for a reason that is no fault of the program. Thrown and caught within the conductor.
struct EarlyEnd {
    Ending ending;
    std::string reason;
};

/// One sitting at the equipment: every movement and every sound of a run goes through here, and what they take
/// is counted. Whatever fails, the outputs are silenced, the table is stopped, and nothing moves or sounds until
/// the attendant says so. All methods are of the conductor's thread and throw EarlyEnd where a stop was asked
/// for or the attendant does not go on, Error{output} where an event cannot be kept.
class Sitting {
public:
    /// captures: null for shots that are not kept. stance: how the unit lies; nothing: not known, so that the
    /// attendant is asked. Everything outlives it.
    Sitting(const Plan& plan, const Equipment& equipment, CapturesUnderWay* captures, RunWatcher& watcher,
            std::stop_token stop, std::optional<Stance> stance);

    /// Home, then warm up.
    void begin();

    /// To a stop of the itinerary, and settles there.
    void moveTo(const Stop& stop);

    /// The attendant turns the unit, unless it lies so; then the table is sent home, for its power was off. The first
    /// sweeps are due again, for somebody was at the equipment.
    void turnUnit(Stance stance);

    /// Plays and records. A take that is not done: the device failed, and everything stands still.
    AudioTake play(const AudioShot& shot);

    /// After a fault: asks the attendant. The first sweeps are due again, for somebody was at the equipment.
    void askOrEnd(const std::string& what);

    /// The outputs silent, then the table.
    void standStill() noexcept;

    /// Goes into the run; told to whoever looks on. No capture may be under way.
    void note(const std::string& text);

    /// The first sweeps were played since anybody was last at the equipment.
    bool isChecked() const { return isChecked_; }
    void check() { isChecked_ = true; }

    TablePose here() const { return here_; }  ///< where the table says that it stands
    const Equipment& equipment() const { return equipment_; }
    double perMoveS() const;  ///< mean of the moves so far, settling included; 0 before the first

    double wallS() const;
    double neededS() const { return neededS_; }  ///< sounds and moves that came to their end, and settling
    double waitedS() const { return waitedS_; }  ///< for the attendant and for warming up

private:
    void home();
    void requireNoStop() const;
    bool ask(Attendant::Errand errand, const std::string& request);
    void settle();
    TableResult moved(const Stop& stop);

    const Plan& plan_;
    Equipment equipment_;
    CapturesUnderWay* captures_;
    RunWatcher& watcher_;
    std::stop_token stop_;
    std::optional<Stance> stance_;
    TablePose here_;
    bool isChecked_ = false;
    double beganS_, movedS_ = 0, neededS_ = 0, waitedS_ = 0;
    int moves_ = 0;
};

}  // namespace volvelle
