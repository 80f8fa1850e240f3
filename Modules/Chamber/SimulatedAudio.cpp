#include "Chamber/SimulatedAudio.h"

#include "Chamber/Noise.h"
#include "Text/Error.h"

#include <algorithm>
#include <array>
#include <utility>

namespace volvelle {

namespace {

AudioFacts factsOf(const Plan& plan, const Scene& scene, double sampleRateHz) {
    AudioFacts facts;
    facts.name = "simulated audio device";
    facts.sampleRateHz = sampleRateHz;
    facts.outputs = std::max(2, plan.audio.loopbackOutput);
    for (const SectionPlan& section : plan.sections)
        for (const int channel : section.outputChannels) facts.outputs = std::max(facts.outputs, channel);
    for (const SceneDriver& driver : scene.drivers)
        facts.outputs = std::max(facts.outputs, driver.outputChannel);
    facts.inputs = std::max({2, plan.audio.microphoneInput, plan.audio.loopbackInput});
    facts.bitsPerSample = scene.converters.bits;
    return facts;
}

/// How a device's own fault ends a shot, and how long after it the driver notices.
struct DeviceFault {
    AudioOutcome outcome;
    const char* what;
    double noticedS;
};

std::optional<DeviceFault> deviceFaultOf(FaultKind kind) {
    switch (kind) {
        case FaultKind::droppedBlock:
            return DeviceFault{AudioOutcome::dropped, "a block of samples was lost", 0.02};
        case FaultKind::deviceGone:
            return DeviceFault{AudioOutcome::gone, "the audio device is gone", 0.1};
        case FaultKind::stalled:
            return DeviceFault{AudioOutcome::stalled, "the audio device asks for no more samples", 0.3};
        case FaultKind::rateChange:
            return DeviceFault{AudioOutcome::rateChanged, "the audio device changed its sample rate", 0.05};
        default:
            return std::nullopt;
    }
}

AudioTake stoppedTake() {
    return {AudioOutcome::stopped, {}, "a stop was asked for"};
}

}  // namespace

SimulatedAudio::SimulatedAudio(const Plan& plan, const Scene& scene, const Air& air, std::uint64_t seed,
                               Clock& clock, std::function<ChamberSound::Place()> place,
                               std::function<double()> tableDeg)
    : seed_(seed),
      clock_(clock),
      place_(std::move(place)),
      tableDeg_(std::move(tableDeg)),
      sound_(plan, scene, air, seed),
      script_(scene.faults),
      facts_(factsOf(plan, scene, sound_.sampleRateHz())) {
}

void SimulatedAudio::check(const AudioShot& shot) const {
    const auto isWithin = [](int channel, int count) { return channel >= 1 && channel <= count; };
    bool isFine = shot.samples > 0;
    for (const OutputSignal& output : shot.outputs) isFine &= isWithin(output.channel, facts_.outputs);
    for (const int input : shot.inputs) isFine &= isWithin(input, facts_.inputs);
    if (!isFine)
        throw Error(ErrorKind::bug, "a shot names channels that the device does not have, or no samples",
                    "simulated audio device", "Please report this");
}

/// Ends at an instant drawn from (seed, label), and a little later by the driver's attention.
AudioTake SimulatedAudio::failed(const SceneFault& fault, const AudioShot& shot, double beginS,
                                 const std::stop_token& stop) {
    const DeviceFault ending = *deviceFaultOf(fault.kind);
    const std::array<std::uint64_t, 3> parts{seed_, seedOf(shot.label), static_cast<std::uint64_t>(fault.kind) + 1000};
    const double part = static_cast<double>(mixedSeed(parts) >> 11) * 0x1p-53;
    const double atS = part * static_cast<double>(shot.samples) / facts_.sampleRateHz;
    if (!clock_.waitUntil(beginS + atS + ending.noticedS, stop)) return stoppedTake();
    return {ending.outcome, {}, ending.what};
}

AudioTake SimulatedAudio::play(const AudioShot& shot, std::stop_token stop) {
    check(shot);
    const Interruption::Scope scope(interruption_, stop);
    if (scope.token().stop_requested()) return stoppedTake();
    const double beginS = clock_.nowS();
    const std::vector<SceneFault> faults = script_.ofShot(shot.label, tableDeg_());
    for (const SceneFault& fault : faults)
        if (deviceFaultOf(fault.kind)) return failed(fault, shot, beginS, scope.token());
    AudioTake take;
    take.channels = sound_.record(shot, place_(), faults);
    const double durationS = static_cast<double>(shot.samples) / facts_.sampleRateHz;
    if (!clock_.waitUntil(beginS + durationS, scope.token())) return stoppedTake();
    take.outcome = AudioOutcome::done;
    return take;
}

}  // namespace volvelle
