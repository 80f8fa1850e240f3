#pragma once

#include <cstddef>
#include <stop_token>
#include <string>
#include <vector>

namespace volvelle {

/// What is known of a way for sound before it plays.
struct AudioFacts {
    std::string name;
    double sampleRateHz = 0;
    int outputs = 0, inputs = 0;  ///< channels, counted from 1 in shots
    int bitsPerSample = 24;       ///< of the converter that records; 0: floating point
};

/// What one output channel plays, at full scale 1.0. Channels that are not named are silent.
struct OutputSignal {
    int channel;
    std::vector<float> samples;
};

/// One thing to play and record, sample for sample from the same instant.
struct AudioShot {
    std::string label;  ///< what it is for: the id of the capture. A simulation draws its noise from it
    std::vector<OutputSignal> outputs;
    std::vector<int> inputs;  ///< channels to record, the microphone's first
    std::size_t samples = 0;  ///< to record from each
};

/// How a shot ended. What audio devices do in a laboratory is expected: it is returned, not thrown.
enum class AudioOutcome {
    done,
    stopped,      ///< a stop was asked for; the outputs are silent
    dropped,      ///< samples were lost on the way
    stalled,      ///< the device stopped asking for samples
    rateChanged,  ///< the device runs at another rate than agreed
    gone          ///< the device is no longer there
};

struct AudioTake {
    AudioOutcome outcome = AudioOutcome::gone;
    std::vector<std::vector<float>> channels;  ///< one for each input of the shot; empty unless done
    std::string what;                          ///< what went wrong, in plain words; empty where done
    bool done() const { return outcome == AudioOutcome::done; }
};

/// Plays and records at the same time: an audio device, or a simulated chamber. One thread calls play, which
/// blocks; silence may be called by any thread at any time.
class AudioPath {
public:
    virtual ~AudioPath() = default;

    virtual const AudioFacts& facts() const = 0;

    /// Outputs are silent before, after, and as soon as a stop is asked for.
    virtual AudioTake play(const AudioShot& shot, std::stop_token stop) = 0;

    /// Silences all outputs within a block; what plays ends as `stopped`. Any thread. It holds back nothing that
    /// begins later, not even a play() that another thread is about to call: whoever wants an end of it asks for
    /// a stop (of the token that play is given) first, and silences then.
    virtual void silence() noexcept = 0;
};

}  // namespace volvelle
