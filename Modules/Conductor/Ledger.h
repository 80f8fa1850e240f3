#pragma once

#include "Conductor/Account.h"
#include "Run/RunRecord.h"
#include "Sphere/Direction.h"

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace volvelle {

/// "front/horizontal:50/upright/1"; further attempts end in "/attempt-2", checks and first sweeps begin with
/// what they are.
std::string captureId(const std::string& drive, const std::string& position, Stance stance, CaptureKind kind,
                      int repeat, int attempt);

/// What of a run is done, so that nothing is measured twice.
class Ledger {
public:
    Ledger() = default;

    /// Of the captures that are kept already. redo: positions to be measured again, whatever there is of them among
    /// the first `before` captures of each drive.
    Ledger(const RunRecord& run, const std::vector<NamedPosition>& redo, const std::vector<std::size_t>& before);

    void add(const std::string& drive, const Capture& capture);

    /// The number of the attempt that is due at a capture, or nothing where one that is not doubtful is there or
    /// all attempts are used up.
    std::optional<int> nextAttempt(const std::string& drive, const std::string& position, Stance stance,
                                   CaptureKind kind, int repeat, int attempts) const;

    /// Anything is due at a position.
    bool isOpen(const Plan& plan, const std::string& position, Stance stance) const;

    /// The last captures of all drives in a stance are checks on the axis: what it was to measure is done.
    bool endsWithCheck(const Plan& plan, Stance stance) const;

    /// The number of the next check or first sweep of a drive in a stance.
    int nextRepeat(const std::string& drive, CaptureKind kind, Stance stance) const;

private:
    struct Tally {
        int attempts = 0;    ///< highest number of an attempt
        int used = 0;        ///< attempts that count against the plan's
        bool good = false;
    };
    std::map<std::string, Tally> tallies_;  ///< by the id of the first attempt
    std::map<std::pair<std::string, Stance>, CaptureKind> last_;  ///< of each drive in each stance
};

/// Level and delay on the axis over the run, drive by drive and stance by stance.
std::vector<Drift> driftsOf(const RunRecord& run);

/// "+0.25", "-0.10"; "0.00" for what rounds to it.
std::string signedText(double value, int decimals);

/// "drift of front upright on the axis at the end: +0.020 dB, -0.40 µs; at most ...".
std::string driftText(const Drift& drift);

}  // namespace volvelle
