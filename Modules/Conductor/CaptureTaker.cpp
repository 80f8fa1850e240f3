#include "Conductor/CaptureTaker.h"

#include "Quality/Statistics.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

namespace volvelle {

namespace {

JudgeSettings settingsFor(const Plan& plan) {
    JudgeSettings settings;
    settings.latencyS = plan.latencyS;
    return settings;
}

/// As the converter gave them: a device's floating-point samples hold its integers exactly.
std::vector<std::int32_t> leftJustified(std::span<const float> samples) {
    std::vector<std::int32_t> out(samples.size());
    std::transform(samples.begin(), samples.end(), out.begin(), [](float v) {
        const double scaled = std::round(double{v} * 2147483648.0);
        return static_cast<std::int32_t>(std::clamp(scaled, -2147483648.0, 2147483647.0));
    });
    return out;
}

bool isFirst(const Capture& capture) {
    return capture.repeat == 1;
}

/// What is compared with each other: checks on the axis of one stance, repeats at one position.
std::string comparedName(const std::string& drive, const Capture& capture) {
    return drive + (capture.kind == CaptureKind::axisCheck ? "/axis/" : "/" + positionName(capture) + "/") +
           stanceName(capture.stance);
}

bool isOfAnotherPosition(const Capture& a, const Capture& b) {
    return a.kind == CaptureKind::position && (positionName(a) != positionName(b) || a.stance != b.stance);
}

double medianDifference(const std::vector<double>& a, const std::vector<double>& b) {
    std::vector<double> differences;
    for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i)
        if (const double d = a[i] - b[i]; std::isfinite(d)) differences.push_back(d);
    return differences.empty() ? notStated : median(std::move(differences));
}

std::string noiseDoubt(const CaptureQuality& quality, double limitDb) {
    double loudest = -std::numeric_limits<double>::infinity();
    for (const double level : quality.noiseDb)
        if (level > loudest) loudest = level;
    return loudest > limitDb ? "noise of " + fixedText(loudest, 0) + " dB in an octave, over the plan's limit"
                             : std::string();
}

}  // namespace

CaptureTaker::CaptureTaker(const Plan& plan, const RunRecord& head, CapturesUnderWay* captures)
    : head_(head), captures_(captures), noiseLimitDb_(plan.conduct.noiseLimitDb), bits_(0) {
    for (const DriveRecord& drive : head.drives) {
        judges_.emplace_back(drive, head.calibration, settingsFor(plan));
        bits_ = drive.bitsPerSample;
    }
}

CaptureTaker::~CaptureTaker() {
    if (underWay_.valid()) underWay_.wait();
}

void CaptureTaker::take(std::size_t drive, Capture capture, AudioTake take) {
    underWay_ = thread_.begin<TakenCapture>(
        [this, drive, capture = std::move(capture), take = std::move(take)] { return work(drive, capture, take); });
}

std::optional<TakenCapture> CaptureTaker::collect() {
    if (!underWay_.valid()) return std::nullopt;
    return underWay_.get();
}

Judgement CaptureTaker::judged(std::size_t drive, std::span<const float> microphone,
                               std::span<const float> loopback) const {
    const auto integers = bits_ > 0 ? leftJustified(microphone) : std::vector<std::int32_t>();
    return judges_[drive].judge(microphone, loopback, {integers, bits_});
}

TakenCapture CaptureTaker::work(std::size_t drive, Capture capture, const AudioTake& take) {
    const std::span<const float> loopback =
        take.channels.size() > 1 ? std::span(take.channels[1]) : std::span<const float>();
    Judgement judgement;
    try {
        judgement = judged(drive, take.channels[0], loopback);
    } catch (const Error& error) {
        if (error.kind() != ErrorKind::input) throw;
        judgement.doubts.push_back(error.problem());  // of the loopback: kept like any doubtful one
    }
    accept(capture, judgement);
    if (const auto doubt = noiseDoubt(capture.quality, noiseLimitDb_); !doubt.empty())
        markDoubtful(capture, doubt);
    compareWithFirst(drive, capture, judgement);
    if (captures_ != nullptr) {
        std::vector<float> samples;
        for (const auto& channel : take.channels) samples.insert(samples.end(), channel.begin(), channel.end());
        captures_->keep(drive, capture, samples);
    }
    return {drive, std::move(capture)};
}

void CaptureTaker::compareWithFirst(std::size_t drive, Capture& capture, const Judgement& judgement) {
    const bool axis = capture.kind == CaptureKind::axisCheck;
    if (!axis && capture.kind != CaptureKind::position) return;
    if (isFirst(capture)) {  // the others are compared with it; a later attempt takes its place
        if (!axis)
            std::erase_if(firsts_, [&](const auto& entry) {
                return isOfAnotherPosition(entry.second.first, capture);
            });
        firsts_[comparedName(head_.drives[drive].name, capture)] = {capture, judgement};
    }
    const auto& [first, reference] = firstOf(drive, capture, {capture, judgement});
    if (axis) {
        capture.quality.driftDb =
            medianDifference(judgement.direct.thirdOctaveDb, reference.direct.thirdOctaveDb);
        capture.quality.driftS = judgement.arrivalS - reference.arrivalS;
        return;
    }
    if (isFirst(capture)) return;
    DriveRecord pair;
    pair.captures = {first, capture};
    const std::vector<Judgement> judgements{reference, judgement};
    compareRepeats(pair, judgements);
    capture.quality.repeatDifferenceDb = pair.captures[1].quality.repeatDifferenceDb;
}

const CaptureTaker::Reference& CaptureTaker::firstOf(std::size_t drive, const Capture& like,
                                                     const Reference& otherwise) {
    const std::string name = comparedName(head_.drives[drive].name, like);
    const auto found = firsts_.find(name);
    if (found != firsts_.end()) return found->second;
    return firsts_.emplace(name, keptFirst(drive, like).value_or(otherwise)).first->second;
}

/// Of a run that was stopped: read and judged again.
std::optional<CaptureTaker::Reference> CaptureTaker::keptFirst(std::size_t drive, const Capture& like) const {
    if (captures_ == nullptr) return std::nullopt;
    const DriveRecord& kept = captures_->record().drives[drive];
    for (std::size_t c = 0; c < kept.captures.size(); ++c) {
        const Capture& capture = kept.captures[c];
        if (capture.kind != like.kind || comparedName(kept.name, capture) != comparedName(kept.name, like) ||
            !isFirst(capture) || capture.state == CaptureState::superseded)
            continue;
        std::vector<float> samples(kept.channelRoles.size() * kept.samplesPerChannel);
        captures_->readCapture(drive, c, samples);
        const auto microphone = std::span<const float>(samples).first(kept.samplesPerChannel);
        return Reference{capture, judged(drive, microphone,
                                         std::span<const float>(samples).subspan(kept.samplesPerChannel))};
    }
    return std::nullopt;
}

}  // namespace volvelle
