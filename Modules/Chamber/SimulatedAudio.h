#pragma once

#include "Chamber/ChamberSound.h"
#include "Chamber/Interruption.h"
#include "Chamber/SceneFaults.h"
#include "Clock/Clock.h"
#include "Conductor/AudioPath.h"

#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

namespace volvelle {

/// The audio device of a simulated chamber: sound, time, and what happens to devices. Threads as AudioPath
/// says.
class SimulatedAudio final : public AudioPath {
public:
    /// place: where the microphone is now; tableDeg: where the table believes to stand, for faults.
    SimulatedAudio(const Plan& plan, const Scene& scene, const Air& air, std::uint64_t seed, Clock& clock,
                   std::function<ChamberSound::Place()> place, std::function<double()> tableDeg);

    const AudioFacts& facts() const override { return facts_; }
    AudioTake play(const AudioShot& shot, std::stop_token stop) override;
    void silence() noexcept override { interruption_.interrupt(); }

private:
    void check(const AudioShot& shot) const;
    AudioTake failed(const SceneFault& fault, const AudioShot& shot, double beginS,
                     const std::stop_token& stop);

    std::uint64_t seed_;
    Clock& clock_;
    std::function<ChamberSound::Place()> place_;
    std::function<double()> tableDeg_;
    ChamberSound sound_;
    FaultScript script_;
    AudioFacts facts_;
    Interruption interruption_;
};

}  // namespace volvelle
