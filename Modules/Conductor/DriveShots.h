#pragma once

#include "Conductor/AudioPath.h"
#include "Run/Plan.h"

#include <cstddef>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// What one drive of a plan plays and how much is recorded of it, at every position alike.
class DriveShots {
public:
    /// Throws Error{input} where the plan's sweep leaves a section's limits or the audio path's channels, and
    /// where sample rates differ.
    DriveShots(const Plan& plan, const DrivePlan& drive, const AudioFacts& audio);

    /// The excitation at full scale 1.0 as the loopback carries it: silence, the sweep, nothing behind it.
    /// Its first sample is time zero.
    const std::vector<float>& excitation() const { return excitation_; }
    std::size_t samples() const { return samples_; }  ///< recorded per channel
    double durationS() const;                         ///< of one shot
    double sampleRateHz() const { return sampleRateHz_; }
    bool hasLoopback() const { return inputs_.size() > 1; }

    /// gain: 1 for captures, 0.1 for the first sweep of a run (20 dB down). Each section's channels carry the
    /// excitation with that section's gain, delay and polarity; the loopback's carries it as it is.
    AudioShot shot(std::string label, float gain) const;

private:
    void addSection(const SectionPlan& section, std::span<const double> sweep, double peak,
                    const AudioFacts& audio);
    void append(int channel, std::vector<float> samples, const AudioFacts& audio, const std::string& where);

    double sampleRateHz_;
    std::vector<float> excitation_;
    std::vector<OutputSignal> outputs_;
    std::vector<int> inputs_;
    std::size_t samples_ = 0;
};

/// Silence before each sweep and recording after it, in seconds, where the plan states none.
constexpr double usualSilenceS = 0.25, usualDecayS = 0.4;

}  // namespace volvelle
