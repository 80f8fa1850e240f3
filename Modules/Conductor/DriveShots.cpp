#include "Conductor/DriveShots.h"

#include "Run/Capture.h"
#include "Run/SweepPlan.h"
#include "Signal/Excitation.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

constexpr double fadeInPeriods = 1, longestFadeInS = 0.02, fadeOutS = 0.002;
constexpr double converterRoomS = 0.02;  // room for the converters' latency

double fadeInS(const ExponentialSweep& sweep) {
    return std::min(fadeInPeriods / sweep.startHz, longestFadeInS);
}

const SectionPlan& sectionNamed(const Plan& plan, const std::string& name) {
    const auto found = std::find_if(plan.sections.begin(), plan.sections.end(),
                                    [&](const SectionPlan& section) { return section.name == name; });
    if (found == plan.sections.end())
        throw Error(ErrorKind::bug, "a drive plays a section that the plan does not have", name,
                    "Please report this");
    return *found;
}

std::vector<float> asFloats(std::span<const double> samples, double gain) {
    std::vector<float> out(samples.size());
    std::transform(samples.begin(), samples.end(), out.begin(),
                   [gain](double v) { return static_cast<float>(gain * v); });
    return out;
}

/// A sweep ends below half the rate that it is played at.
Plan atRate(Plan plan, double sampleRateHz) {
    plan.audio.sampleRateHz = sampleRateHz;
    return plan;
}

double travelS(const Plan& plan) {
    return orElse(plan.distanceM, 0) / 330 + orElse(plan.latencyS, 0);
}

}  // namespace

DriveShots::DriveShots(const Plan& plan, const DrivePlan& drive, const AudioFacts& audio)
    : sampleRateHz_(audio.sampleRateHz) {
    if (std::isfinite(plan.audio.sampleRateHz) && plan.audio.sampleRateHz != audio.sampleRateHz)
        throw Error(ErrorKind::input,
                    fmt::format("asks for {} Hz, but {} runs at {} Hz", shortestText(plan.audio.sampleRateHz),
                                audio.name, shortestText(audio.sampleRateHz)),
                    "plan /audio/sample_rate_hz", "Set the device or the plan to the other's rate");
    const ResolvedSweep resolved = resolvedSweep(atRate(plan, sampleRateHz_), drive);
    ExponentialSweep sweep =
        synchronisedSweep(resolved.startHz, resolved.endHz, resolved.wishedDurationS);
    sweep.beginS = std::round(orElse(plan.audio.silenceBeforeS, usualSilenceS) * sampleRateHz_) / sampleRateHz_;
    const auto samples = sweepSamples(sweep, sampleRateHz_, fadeInS(sweep), fadeOutS);
    excitation_ = asFloats(samples, resolved.peakFullScale);
    double latest = 0;
    for (const std::string& name : drive.sections) {
        const SectionPlan& section = sectionNamed(plan, name);
        ExponentialSweep delayed = sweep;
        delayed.beginS += orElse(section.delayS, 0);
        latest = std::max(latest, orElse(section.delayS, 0));
        addSection(section, sweepSamples(delayed, sampleRateHz_, fadeInS(sweep), fadeOutS),
                   resolved.peakFullScale, audio);
    }
    if (plan.audio.loopbackOutput > 0)
        append(plan.audio.loopbackOutput, excitation_, audio, "plan /audio/loopback_output");
    inputs_ = {plan.audio.microphoneInput};
    if (plan.audio.loopbackInput > 0) inputs_.push_back(plan.audio.loopbackInput);
    for (const int input : inputs_)
        if (input > audio.inputs)
            throw Error(ErrorKind::input,
                        fmt::format("names input {}, but {} has {}", input, audio.name, audio.inputs),
                        "plan /audio", "Name one that it has");
    const double afterS =
        orElse(plan.audio.decayS, usualDecayS) + latest + travelS(plan) + converterRoomS;
    samples_ = excitation_.size() + static_cast<std::size_t>(std::ceil(afterS * sampleRateHz_));
}

void DriveShots::addSection(const SectionPlan& section, std::span<const double> sweep, double peak,
                            const AudioFacts& audio) {
    const std::string where = "plan, section " + section.name;
    if (section.outputChannels.empty())
        throw Error(ErrorKind::input, "states no output channels, so nothing can be played on it", where,
                    "Write output_channels");
    const double gain = peak * std::pow(10, orElse(section.gainDb, 0) / 20) * (section.reversed ? -1 : 1);
    for (const int channel : section.outputChannels) append(channel, asFloats(sweep, gain), audio, where);
}

void DriveShots::append(int channel, std::vector<float> samples, const AudioFacts& audio,
                        const std::string& where) {
    if (channel > audio.outputs)
        throw Error(ErrorKind::input,
                    fmt::format("names output {}, but {} has {}", channel, audio.name, audio.outputs), where,
                    "Name one that it has");
    for (const OutputSignal& other : outputs_)
        if (other.channel == channel)
            throw Error(ErrorKind::input, fmt::format("plays on output {}, as another does", channel), where,
                        "Give each a channel of its own");
    outputs_.push_back({channel, std::move(samples)});
}

double DriveShots::durationS() const {
    return static_cast<double>(samples_) / sampleRateHz_;
}

AudioShot DriveShots::shot(std::string label, float gain) const {
    AudioShot shot{std::move(label), outputs_, inputs_, samples_};
    if (gain == 1.0F) return shot;
    for (OutputSignal& output : shot.outputs)
        for (float& v : output.samples) v *= gain;
    return shot;
}

}  // namespace volvelle
