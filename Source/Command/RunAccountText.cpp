#include "Command/RunAccountText.h"

#include "Command/DurationText.h"
#include "Command/QualityTable.h"
#include "Command/Screen.h"
#include "Conductor/Ledger.h"
#include "Quality/OctaveNames.h"
#include "Quantities/ReferencePressure.h"
#include "Text/Number.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

std::string positionsText(const RunAccount& account) {
    return fmt::format("{} of {}; {} captures in this sitting, {} of them again because of a doubt",
                       account.positionsDone, account.positions, account.captures, account.repeated);
}

/// Wall time, and how much more than needed it was.
std::string timeText(const RunAccount& account) {
    std::string text = durationText(account.wallS);
    if (account.waitedS > 0) text += fmt::format(", {} of it waiting", durationText(account.waitedS));
    if (!(account.neededS > 0)) return text;
    return text + fmt::format("; {} {} % longer than the sweeps, decays, moves and settling by themselves",
                              account.waitedS > 0 ? "the rest is" : "that is",
                              fixedText(std::max(0.0, 100 * (account.overhead() - 1)), 1));
}

/// Rows of 80 columns at most.
std::string driftTable(const std::vector<Drift>& drifts) {
    if (drifts.empty()) return {};
    std::string text = fmt::format("\n{:<27} {:>10} {:>10} {:>10} {:>10} {:>7}\n", "Drift on the axis", "end dB",
                                   "end µs", "most dB", "most µs", "checks");
    for (const Drift& drift : drifts)
        text += fmt::format("{:<17} {:<9} {:>10} {:>10} {:>10} {:>10} {:>7}\n", shortened(drift.drive, 17),
                            stanceName(drift.stance), signedText(drift.levelDb, 3),
                            signedText(drift.delayS * 1e6, 2), fixedText(drift.largestDb, 3),
                            fixedText(drift.largestS * 1e6, 2), drift.checks);
    return text;
}

std::string noiseText(const CaptureQuality& quality) {
    const auto& levels = quality.noiseDb;
    if (std::none_of(levels.begin(), levels.end(), [](double v) { return std::isfinite(v); })) return "unknown";
    std::string text;
    for (std::size_t b = 0; b < levels.size(); ++b)
        text += (b > 0 ? ", " : "") + octaveName(b) + " " +
                (std::isfinite(levels[b]) ? fixedText(levels[b], 0) : "unknown");
    return text + " dB";
}

}  // namespace

std::string axisShotsText(const AxisShots& shots) {
    std::string text;
    for (const AxisShot& shot : shots.shots) {
        const CaptureQuality& q = shot.capture.quality;
        const double peakDb = 20 * std::log10(q.peakPa / referencePressurePa);
        text += labelled(shot.drive, fmt::format("peak {} dB, arrives at {} ms, first arrival {}", fixedText(peakDb, 1),
                                                 fixedText(q.arrivalS * 1000, 3),
                                                 q.polarity < 0 ? "negative" : "positive"));
        text += labelled("", "noise in octaves: " + noiseText(q));
        text += labelled("", shot.capture.state == CaptureState::doubtful ? "doubtful: " + shot.capture.reason
                                                                         : "no doubts");
    }
    for (const std::string& remark : shots.remarks) text += labelled("Remark", remark);
    return text;
}

std::string accountText(const RunAccount& account, const RunRecord& run, const std::string& path) {
    std::string text = labelled("Run", path);
    text += labelled("Unit", run.plan.unitModel.empty() ? "not stated"
                                                        : run.plan.unitModel + " " + run.plan.unitSerial);
    text += labelled("Positions", positionsText(account));
    text += labelled("Time", timeText(account));
    for (const std::string& remark : account.remarks) text += labelled("Remark", remark);
    text += driftTable(account.drift) + "\n" + qualityReport(run);
    if (account.ending != Ending::complete) text += "\n" + labelled("Ended early", account.reason);
    return text;
}

}  // namespace volvelle
