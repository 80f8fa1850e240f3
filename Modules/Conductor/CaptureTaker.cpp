#include "Conductor/CaptureTaker.h"

#include "Quality/Statistics.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace volvelle {

const std::string departsFromFirst = "departs from the first check on the axis";

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

std::string withSign(double value, int decimals) {
    return (value > 0 ? "+" : "") + fixedText(value, decimals);
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
    : head_(head), captures_(captures), noiseLimitDb_(plan.conduct.noiseLimitDb), bits_(0),
      loopbackLevelsDb_(head.drives.size()) {
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
    try {
        return judges_[drive].judge(microphone, loopback, {integers, bits_});
    } catch (const Error& error) {
        if (error.kind() != ErrorKind::input) throw;
        Judgement judgement;
        judgement.doubts.push_back(error.problem());
        return judgement;
    }
}

TakenCapture CaptureTaker::work(std::size_t drive, Capture capture, const AudioTake& take) {
    const std::span<const float> loopback =
        take.channels.size() > 1 ? std::span(take.channels[1]) : std::span<const float>();
    const Judgement judgement = judged(drive, take.channels[0], loopback);
    accept(capture, judgement);
    if (const auto doubt = noiseDoubt(capture.quality, noiseLimitDb_); !doubt.empty())
        markDoubtful(capture, doubt);
    compareWithFirst(drive, capture, judgement);
    remember(drive, capture, judgement);
    if (captures_ != nullptr) {
        std::vector<float> samples;
        for (const auto& channel : take.channels) samples.insert(samples.end(), channel.begin(), channel.end());
        captures_->keep(drive, capture, samples);
    }
    return {drive, std::move(capture), judgement.loopbackLevelDb};
}

void CaptureTaker::remember(std::size_t drive, const Capture& capture, const Judgement& judgement) {
    if (capture.kind == CaptureKind::position) heard_[capture.id] = judgement.direct;
    if (capture.kind != CaptureKind::lowSweep) loopbackLevelsDb_[drive].push_back(judgement.loopbackLevelDb);
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
        if (!isFirst(capture)) judgeDrift(drive, capture, judgement, {first, reference});
        return;
    }
    if (isFirst(capture)) return;
    DriveRecord pair;
    pair.captures = {first, capture};
    const std::vector<Judgement> judgements{reference, judgement};
    compareRepeats(pair, judgements);
    capture.quality.repeatDifferenceDb = pair.captures[1].quality.repeatDifferenceDb;
}

void CaptureTaker::judgeDrift(std::size_t drive, Capture& capture, const Judgement& judgement,
                              const Reference& first) const {
    const double levelDb = capture.quality.driftDb, delayS = capture.quality.driftS;
    const bool knowsDeparture = head_.drives[drive].channelRoles.size() > 1;
    std::string what;
    if (std::abs(levelDb) > driftLimitDb) what += " by " + withSign(levelDb, 2) + " dB";
    if (knowsDeparture && std::abs(delayS) > driftLimitS)
        what += (what.empty() ? " by " : " and ") + withSign(delayS * 1e6, 0) + " µs";
    if (judgement.polarity * first.second.polarity < 0 &&
        lowFrequencyAgreement(judgement.direct, first.second.direct) < 0)
        what += what.empty() ? ": it is upside down" : ", and is upside down";
    if (!what.empty()) markDoubtful(capture, departsFromFirst + what);
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
        return Reference{capture, judgedAgain(drive, c)};
    }
    return std::nullopt;
}

Judgement CaptureTaker::judgedAgain(std::size_t drive, std::size_t capture) const {
    const DriveRecord& kept = captures_->record().drives[drive];
    std::vector<float> samples(kept.channelRoles.size() * kept.samplesPerChannel);
    captures_->readCapture(drive, capture, samples);
    return judged(drive, std::span<const float>(samples).first(kept.samplesPerChannel),
                  std::span<const float>(samples).subspan(kept.samplesPerChannel));
}

/// Its polarity, and where it matters how it sounds.
Judgement CaptureTaker::heardOf(std::size_t drive, std::size_t capture) const {
    const DriveRecord& kept = captures_->record().drives[drive];
    Judgement judgement;
    judgement.polarity = kept.captures[capture].quality.polarity;
    if (!isHeldAgainstOthers(kept, capture)) return judgement;
    const auto found = heard_.find(kept.captures[capture].id);
    judgement.direct = found != heard_.end() ? found->second : judgedAgain(drive, capture).direct;
    return judgement;
}

std::vector<std::string> CaptureTaker::remarks() const {
    std::vector<std::string> remarks;
    for (std::size_t d = 0; d < head_.drives.size(); ++d) {
        if (auto remark = remarkOnLoopbackLevel(head_.drives[d].name, loopbackLevelsDb_[d]); !remark.empty())
            remarks.push_back(std::move(remark));
        if (captures_ == nullptr) continue;
        const DriveRecord& kept = captures_->record().drives[d];
        std::vector<Judgement> judgements;
        for (std::size_t c = 0; c < kept.captures.size(); ++c) judgements.push_back(heardOf(d, c));
        for (std::string& remark : remarkOnReversals(kept, judgements)) remarks.push_back(std::move(remark));
    }
    return remarks;
}

}  // namespace volvelle
