#pragma once

#include "Quality/DirectSound.h"
#include "Run/RunRecord.h"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// What captures are held against. The defaults are those of the command.
struct JudgeSettings {
    double clippedRun = 3;    ///< so many consecutive samples at full scale make a capture doubtful
    double noiseRiseDb = 6;   ///< by so much a short noise must stand out of the steady noise, in an octave
    double noiseJumpDb = 15;  ///< by so much a capture's noise may lie above the median of its drive
    double latencyS = notStated;    ///< of the unit's own processing, as stated
    double assumedUnitSizeM = 0.6;  ///< where the run does not state the unit's size
    double arrivalMarginM = 0.15;   ///< added to the unit's size
};

/// What is found in one capture.
struct Judgement : CaptureQuality {
    std::vector<std::string> doubts;  ///< in plain words; empty: none
    DirectSound direct;               ///< to compare captures; not kept
    double loopbackLevelDb = notStated;  ///< of the loopback re what the excitation says was played, both in
                                         ///< volts by their scales; not a number without one; not kept
};

/// A channel of a file of integers.
struct IntegerSamples {
    std::span<const std::int32_t> leftJustified;  ///< full scale is 2^31; empty: the file holds other numbers
    int bits = 0;                                 ///< of the file
};

/// Judges the captures of one drive, one by one. Immutable after construction but for a store of work memory;
/// judge() may be called by several threads at once. Not real-time-safe.
class Judge {
public:
    /// Throws Error{input} for a silent excitation. The drive need not hold its captures' qualities yet.
    Judge(const DriveRecord& drive, const Calibration& calibration, const JudgeSettings& settings = {});
    ~Judge();
    Judge(Judge&&) noexcept;

    /// microphone, loopback (empty: none): samples at full scale 1.0. integers: the microphone's as the file
    /// has them, none for files that hold floating-point numbers. Recordings: everything is judged. Impulse
    /// responses: clipping, decay, noise of the impulse (from ahead of the arrival, else the tail), arrival
    /// and polarity. Text responses: nothing. What cannot be known stays not a number; unknown noise is no
    /// fault. Throws Error{input} for a silent loopback.
    Judgement judge(std::span<const float> microphone, std::span<const float> loopback,
                    const IntegerSamples& integers) const;

private:
    struct State;
    std::unique_ptr<State> state_;
};

/// Takes a judgement over: the capture's quality, and where there are doubts its state and reason.
void accept(Capture& capture, const Judgement& judgement);

/// Fills in repeatDifferenceDb: each capture against the first repeat of the same kind, direction and stance.
/// judgements: in the order of the drive's captures.
void compareRepeats(DriveRecord& drive, std::span<const Judgement> judgements);

/// Remarks on captures that are upside down alone: whose polarity and low-frequency phase both are the
/// opposite of those of all other captures of the same direction and stance, and of the next captures on both
/// sides on the same orbit (30° away at most), or of either where there is no other. No doubts: only somebody
/// at the wiring knows. judgements: in the order of the drive's captures.
std::vector<std::string> remarkOnReversals(const DriveRecord& drive, std::span<const Judgement> judgements);

/// Whether remarkOnReversals looks at this capture's sound, beside its polarity: where another one of its position
/// or next to it has the other polarity. Looks at the captures' qualities. What it does not look at need not be
/// judged again.
bool isHeldAgainstOthers(const DriveRecord& drive, std::size_t capture);

/// By so much the loopback may depart from what was played, in dB.
constexpr double loopbackToleranceDb = 0.2;

/// Levels of full sweeps as Judgement::loopbackLevelDb has them. A remark where their median departs from 0 by more
/// than the tolerance; else, or where none is a number, empty.
std::string remarkOnLoopbackLevel(const std::string& drive, const std::vector<double>& levelsDb);

/// Compares the captures of the run among each other, after accept(): marks as doubtful those whose arrival
/// (less the time that their distance takes) departs from their drive's own by more than the unit's size, and
/// those whose noise jumps. Only captures that are kept or doubtful are looked at. Idempotent. Returns
/// remarks on the run as a whole, in plain words: the range of the loopback delay, arrivals that the distance
/// does not explain.
std::vector<std::string> judgeRun(RunRecord& run, const JudgeSettings& settings = {});

/// Marks a capture doubtful; further reasons are appended, each once.
void markDoubtful(Capture& capture, const std::string& reason);

}  // namespace volvelle
