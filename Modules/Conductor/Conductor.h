#pragma once

#include "Clock/Clock.h"
#include "Conductor/Account.h"
#include "Conductor/Attendant.h"
#include "Conductor/AudioPath.h"
#include "Quantities/Air.h"
#include "Run/CapturesUnderWay.h"
#include "Run/Plan.h"
#include "Sphere/AngleSet.h"
#include "turntable/Turntable.h"

#include <functional>
#include <stop_token>
#include <string>
#include <vector>

namespace volvelle {

/// Waited after each move where the plan does not say, in seconds.
constexpr double usualSettleS = 0.5;

/// Amplitude of the first sweeps: 20 dB down.
constexpr float firstSweepGain = 0.1F;

/// What a run is carried out with. All of it outlives the run.
struct Equipment {
    Turntable& table;
    AudioPath& audio;
    Attendant& attendant;
    Clock& clock;
    std::function<Air()> air;  ///< the air now, as far as it is known
};

/// Where a run stands.
struct RunProgress {
    std::string position;  ///< "horizontal:50", "check on the axis", "first sweep"
    std::string drive;
    std::size_t positionsDone = 0, positions = 0;
    std::string quality;  ///< "good", or why the last capture is doubtful; empty before the first
    double leftS = 0;     ///< time left, as the chamber's clock counts
};

/// Looks on. Called by the conductor's thread.
class RunWatcher {
public:
    virtual ~RunWatcher() = default;
    virtual void progressed(const RunProgress&) {}
    virtual void happened(const std::string& /*event*/) {}
};

/// Everything of a run but captures and events, before it begins. Throws as DriveShots and itinerary do.
RunRecord headOf(const Plan& plan, const AudioFacts& audio, const Provenance& provenance);

/// Carries a plan out: home; on the axis the first sweep of each drive 20 dB down, checked; then for each leg a
/// check on the axis, every position (move, settle, every drive and repeat, judge, again where doubtful), checks
/// on the axis between as the plan asks and at the leg's end. What is already kept is not measured again, but
/// for `redo`; where nothing is left to do, nothing moves or sounds. Every capture is safe on disk before the
/// table moves. Runs on the calling thread; judging and keeping runs on one other.
///
/// After a fault of table or audio everything stands still until the attendant says so; then the table is sent
/// home (if it was the table), and the first sweeps are played again before anything louder; likewise after the
/// attendant turned the unit.
///
/// What of `redo` was measured again before a sitting was stopped is not measured once more in the next one with the
/// same positions: an event tells what there was when it began.
///
/// Ends early, with outputs silent first, then the table stopped, then everything saved, where a stop is asked
/// for, a device fails and the attendant will not go on, or the level limit is passed: the account says which. A
/// complete run is judged as a whole, but not yet sealed. Throws Error{input} naming a position that the table cannot
/// reach, before anything moves, and Error{output} where captures cannot be kept, likewise in silence.
RunAccount conduct(const Plan& plan, const AngleSet& set, const Equipment& equipment,
                   CapturesUnderWay& captures, const std::vector<NamedPosition>& redo, RunWatcher& watcher,
                   std::stop_token stop);

/// One capture of each drive on the axis, upright, without a run: the first sweep 20 dB down, then the full
/// one, again where doubtful (the last counts). Stops as conduct does.
struct AxisShot {
    std::string drive;
    Capture capture;
};
struct AxisShots {
    std::vector<AxisShot> shots;
    std::vector<std::string> remarks;  ///< on the loopback's level
    Ending ending = Ending::complete;
    std::string reason;
};
AxisShots shootOnAxis(const Plan& plan, const Equipment& equipment, std::stop_token stop);

}  // namespace volvelle
