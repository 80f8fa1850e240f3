#pragma once

#include "Clock/Clock.h"
#include "Conductor/AudioPath.h"
#include "Conductor/DriveShots.h"
#include "Conductor/OneThread.h"
#include "Quality/Judge.h"
#include "Run/CapturesUnderWay.h"

#include <future>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace volvelle {

/// A capture that was judged and is safe on disk.
struct TakenCapture {
    std::size_t drive = 0;
    Capture capture;
};

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

private:
    using Reference = std::pair<Capture, Judgement>;

    TakenCapture work(std::size_t drive, Capture capture, const AudioTake& take);
    Judgement judged(std::size_t drive, std::span<const float> microphone, std::span<const float> loopback) const;
    void compareWithFirst(std::size_t drive, Capture& capture, const Judgement& judgement);
    const Reference& firstOf(std::size_t drive, const Capture& like, const Reference& otherwise);
    std::optional<Reference> keptFirst(std::size_t drive, const Capture& like) const;

    const RunRecord& head_;
    CapturesUnderWay* captures_;
    double noiseLimitDb_;
    int bits_;
    std::vector<Judge> judges_;
    std::map<std::string, Reference> firsts_;  ///< first checks on the axis, first repeats of this position
    std::future<TakenCapture> underWay_;
    OneThread thread_;  ///< last: it ends before what it uses
};

}  // namespace volvelle
