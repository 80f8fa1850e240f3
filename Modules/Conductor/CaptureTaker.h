#pragma once

#include "Conductor/AudioPath.h"
#include "Conductor/DriveShots.h"
#include "Conductor/OneThread.h"
#include "Quality/Judge.h"
#include "Run/CapturesUnderWay.h"

#include <future>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace volvelle {

/// A capture that was judged and is safe on disk.
struct TakenCapture {
    std::size_t drive = 0;
    Capture capture;
    double loopbackLevelDb = notStated;  ///< as Judgement has it
};

/// By so much a check on the axis may depart from the first of its stance: the median of its third octaves, and its
/// arrival where a loopback says when the sound left. Air that cools by 3 K shifts 3 m by 45 µs.
constexpr double driftLimitDb = 0.5, driftLimitS = 50e-6;

/// Begins the reasons of checks on the axis that depart so.
extern const std::string departsFromFirst;

/// Judges and keeps what was recorded, one capture at a time, on a thread of its own while the next one plays.
/// All methods are called by the conductor's thread.
class CaptureTaker {
public:
    /// captures: null for shots that are not kept. Everything outlives it.
    CaptureTaker(const Plan& plan, const RunRecord& head, CapturesUnderWay* captures);
    ~CaptureTaker();  ///< waits for what is under way
    CaptureTaker(const CaptureTaker&) = delete;
    CaptureTaker& operator=(const CaptureTaker&) = delete;

    /// Begins to judge and keep. The take is done, and nothing is under way.
    void take(std::size_t drive, Capture capture, AudioTake take);

    /// Waits for what is under way; nothing where nothing is. Throws Error{output} where it could not be kept.
    std::optional<TakenCapture> collect();

    /// On captures upside down alone and on the loopback's level, one sentence each. What another sitting kept is read
    /// and judged again where it is held against others. Nothing is under way.
    std::vector<std::string> remarks() const;

private:
    using Reference = std::pair<Capture, Judgement>;

    TakenCapture work(std::size_t drive, Capture capture, const AudioTake& take);
    /// Where the loopback allows no judgement, one that is doubtful for that reason.
    Judgement judged(std::size_t drive, std::span<const float> microphone, std::span<const float> loopback) const;
    void remember(std::size_t drive, const Capture& capture, const Judgement& judgement);
    void judgeDrift(std::size_t drive, Capture& capture, const Judgement& judgement, const Reference& first) const;
    Judgement judgedAgain(std::size_t drive, std::size_t capture) const;
    Judgement heardOf(std::size_t drive, std::size_t capture) const;
    void compareWithFirst(std::size_t drive, Capture& capture, const Judgement& judgement);
    const Reference& firstOf(std::size_t drive, const Capture& like, const Reference& otherwise);
    std::optional<Reference> keptFirst(std::size_t drive, const Capture& like) const;

    const RunRecord& head_;
    CapturesUnderWay* captures_;
    double noiseLimitDb_;
    int bits_;
    std::vector<Judge> judges_;
    std::map<std::string, Reference> firsts_;  ///< first checks on the axis, first repeats of this position
    std::map<std::string, DirectSound> heard_;          ///< of this sitting's positions, by the captures' ids
    std::vector<std::vector<double>> loopbackLevelsDb_;  ///< of this sitting's full sweeps, drive by drive
    std::future<TakenCapture> underWay_;
    OneThread thread_;  ///< last: it ends before what it uses
};

}  // namespace volvelle
