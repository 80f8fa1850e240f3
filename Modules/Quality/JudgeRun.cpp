#include "Quality/Judge.h"
#include "Quality/OctaveNames.h"
#include "Quality/Statistics.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>
#include <utility>

namespace volvelle {
namespace {

constexpr std::size_t leastCaptures = 4;  // whose median says something

bool counts(const Capture& capture) {
    return capture.kind == CaptureKind::position && capture.state != CaptureState::superseded;
}

std::optional<double> medianOf(const DriveRecord& drive, const std::function<double(const Capture&)>& value) {
    std::vector<double> values;
    for (const Capture& capture : drive.captures)
        if (counts(capture))
            if (const double v = value(capture); std::isfinite(v)) values.push_back(v);
    if (values.size() < leastCaptures) return std::nullopt;
    return median(std::move(values));
}

double speedOfSoundIn(const RunRecord& run) {
    const double c = speedOfSound(run.air);
    return std::isfinite(c) ? c : 343.2;
}

double unitSize(const RunRecord& run, const JudgeSettings& settings) {
    return run.unitSizeM > 0 ? run.unitSizeM : settings.assumedUnitSizeM;
}

/// Arrival less the time that the distance takes.
double lateness(const Capture& capture, const RunRecord& run) {
    const double distance = std::isfinite(capture.distanceM)      ? capture.distanceM
                            : std::isfinite(run.nominalDistanceM) ? run.nominalDistanceM
                                                                  : 0;
    return capture.quality.arrivalS - distance / speedOfSoundIn(run);
}

std::string milliseconds(double seconds) {
    return fixedText(seconds * 1000, 2) + " ms";
}

void compareArrivals(DriveRecord& drive, const RunRecord& run, const JudgeSettings& settings) {
    const auto own = medianOf(drive, [&](const Capture& c) { return lateness(c, run); });
    if (!own) return;
    const double limit = (unitSize(run, settings) + settings.arrivalMarginM) / speedOfSoundIn(run);
    for (Capture& capture : drive.captures) {
        const double off = lateness(capture, run) - *own;
        if (!counts(capture) || !(std::abs(off) > limit)) continue;
        markDoubtful(capture, "arrives " + milliseconds(std::abs(off)) + (off > 0 ? " later" : " earlier") +
                                  " than the drive's captures do, more than the unit's size explains");
    }
}

double noiseIn(const Capture& capture, std::size_t octave) {
    return octave < capture.quality.noiseDb.size() ? capture.quality.noiseDb[octave] : notStated;
}

void compareNoise(DriveRecord& drive, const JudgeSettings& settings) {
    std::vector<std::optional<double>> usual;
    for (std::size_t b = 0; b < judgedOctavesHz().size(); ++b)
        usual.push_back(medianOf(drive, [b](const Capture& c) { return noiseIn(c, b); }));
    for (Capture& capture : drive.captures) {
        if (!counts(capture)) continue;
        std::vector<std::size_t> octaves;
        double most = settings.noiseJumpDb;
        for (std::size_t b = 0; b < usual.size(); ++b) {
            const double rise = noiseIn(capture, b) - usual[b].value_or(notStated);
            if (!(rise > settings.noiseJumpDb)) continue;
            octaves.push_back(b);
            most = std::max(most, rise);
        }
        if (octaves.empty()) continue;
        const bool one = octaves.size() == 1;
        markDoubtful(capture, std::string("noise ") + (one ? "" : "up to ") + fixedText(most, 0) +
                                  " dB over the drive's usual in the " + (one ? "octave of " : "octaves ") +
                                  octaveNames(octaves));
    }
}

/// Whether time zero is the instant at which the excitation leaves, so that arrivals say something of the
/// distance.
bool knowsDeparture(const RunRecord& run) {
    return run.timeZero == TimeZero::loopback || run.timeZero == TimeZero::impulse;
}

void remarkOnArrivals(const DriveRecord& drive, const RunRecord& run, const JudgeSettings& settings,
                      std::vector<std::string>& remarks) {
    const auto own = medianOf(drive, [&](const Capture& c) { return lateness(c, run); });
    if (!own || !knowsDeparture(run) || drive.form == CaptureForm::textResponse) return;
    const double latency = std::isfinite(settings.latencyS) ? settings.latencyS : 0;
    const double reach = unitSize(run, settings) / speedOfSoundIn(run);
    const double late = *own - latency - reach, early = -reach - *own;
    if (late > 0)
        remarks.push_back("drive " + drive.name + ": sound arrives " + milliseconds(late) +
                          " later than distance, unit size and stated latency explain; state the unit's "
                          "latency if it has one, or the distance is wrong");
    if (early > 0)
        remarks.push_back("drive " + drive.name + ": sound arrives " + milliseconds(early) +
                          " before it could have covered the distance; check the distance and the loopback");
}

void remarkOnLoopback(const RunRecord& run, std::vector<std::string>& remarks) {
    double low = INFINITY, high = -INFINITY;
    for (const DriveRecord& drive : run.drives)
        for (const Capture& capture : drive.captures)
            if (const double delay = capture.quality.loopbackDelayS;
                capture.state == CaptureState::kept && std::isfinite(delay)) {
                low = std::min(low, delay);
                high = std::max(high, delay);
            }
    if (low <= high)
        remarks.push_back("loopback delay from " + fixedText(low * 1000, 3) + " to " +
                          fixedText(high * 1000, 3) + " ms");
}

bool repeats(const Capture& a, const Capture& b) {
    return a.kind == b.kind && a.stance == b.stance && sameDirection(a.direction, b.direction);
}

double largestDifference(const std::vector<double>& a, const std::vector<double>& b) {
    double largest = notStated;
    for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i)
        if (const double d = std::abs(a[i] - b[i]); d >= 0 && !(largest >= d)) largest = d;
    return largest;
}

}  // namespace

void markDoubtful(Capture& capture, const std::string& reason) {
    if (capture.state == CaptureState::superseded) return;
    capture.state = CaptureState::doubtful;
    if (capture.reason.find(reason) != std::string::npos) return;
    capture.reason += (capture.reason.empty() ? "" : "; ") + reason;
}

void accept(Capture& capture, const Judgement& judgement) {
    capture.quality = judgement;
    for (const std::string& doubt : judgement.doubts) markDoubtful(capture, doubt);
}

void compareRepeats(DriveRecord& drive, std::span<const Judgement> judgements) {
    if (judgements.size() != drive.captures.size())
        throw Error(ErrorKind::bug, "one judgement for each capture is needed", "drive " + drive.name,
                    "Please report this");
    for (std::size_t i = 0; i < judgements.size(); ++i) {
        std::optional<std::size_t> first;
        for (std::size_t j = 0; j < judgements.size(); ++j)
            if (repeats(drive.captures[i], drive.captures[j]) &&
                (!first || drive.captures[j].repeat < drive.captures[*first].repeat))
                first = j;
        if (!first || drive.captures[*first].repeat == drive.captures[i].repeat) continue;
        drive.captures[i].quality.repeatDifferenceDb =
            largestDifference(judgements[i].direct.thirdOctaveDb, judgements[*first].direct.thirdOctaveDb);
    }
}

std::string remarkOnLoopbackLevel(const std::string& drive, const std::vector<double>& levelsDb) {
    std::vector<double> known;
    for (const double level : levelsDb)
        if (std::isfinite(level)) known.push_back(level);
    if (known.empty()) return {};
    const double level = median(std::move(known));
    if (!(std::abs(level) > loopbackToleranceDb)) return {};
    return "drive " + drive + ": the loopback says " + (level > 0 ? "+" : "") + fixedText(level, 2) +
           " dB of what was played: check its volts per full scale, every level follows it";
}

std::vector<std::string> judgeRun(RunRecord& run, const JudgeSettings& settings) {
    std::vector<std::string> remarks;
    for (DriveRecord& drive : run.drives) {
        compareArrivals(drive, run, settings);
        compareNoise(drive, settings);
        remarkOnArrivals(drive, run, settings, remarks);
    }
    remarkOnLoopback(run, remarks);
    return remarks;
}

}  // namespace volvelle
