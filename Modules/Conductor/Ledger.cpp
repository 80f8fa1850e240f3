#include "Conductor/Ledger.h"

#include "Run/RunNames.h"
#include "Text/Number.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

constexpr std::string_view attemptMark = "/attempt-";

std::string firstId(const Capture& capture) {
    return capture.id.substr(0, capture.id.find(attemptMark));
}

}  // namespace

std::string captureId(const std::string& drive, const std::string& position, Stance stance, CaptureKind kind,
                      int repeat, int attempt) {
    const std::string where = kind == CaptureKind::position ? position : wordFor(kind);
    std::string id = fmt::format("{}/{}/{}/{}", drive, where, stanceName(stance), repeat);
    if (attempt > 1) id += fmt::format("{}{}", attemptMark, attempt);
    return id;
}

Ledger::Ledger(const RunRecord& run, const std::vector<NamedPosition>& redo,
               const std::vector<std::size_t>& before) {
    for (std::size_t d = 0; d < run.drives.size(); ++d)
        for (std::size_t c = 0; c < run.drives[d].captures.size(); ++c) {
            const Capture& capture = run.drives[d].captures[c];
            add(run.drives[d].name, capture);
            const bool again = c < before[d] && std::any_of(redo.begin(), redo.end(), [&](const NamedPosition& position) {
                return capture.kind == CaptureKind::position &&
                       positionName(position.direction, position.orbit) == positionName(capture);
            });
            if (!again) continue;
            Tally& tally = tallies_[firstId(capture)];
            tally.good = false;
            tally.used = 0;
        }
}

void Ledger::add(const std::string& drive, const Capture& capture) {
    last_[{drive, capture.stance}] = capture.kind;
    Tally& tally = tallies_[firstId(capture)];
    tally.attempts = std::max(tally.attempts, capture.attempt);
    ++tally.used;
    if (capture.state == CaptureState::kept) tally.good = true;
}

std::optional<int> Ledger::nextAttempt(const std::string& drive, const std::string& position, Stance stance,
                                       CaptureKind kind, int repeat, int attempts) const {
    const auto found = tallies_.find(captureId(drive, position, stance, kind, repeat, 1));
    if (found == tallies_.end()) return 1;
    const Tally& tally = found->second;
    if (tally.good || tally.used >= attempts) return std::nullopt;
    return tally.attempts + 1;
}

bool Ledger::isOpen(const Plan& plan, const std::string& position, Stance stance) const {
    for (const DrivePlan& drive : plan.drives)
        for (int repeat = 1; repeat <= plan.conduct.repeats; ++repeat)
            if (nextAttempt(drive.name, position, stance, CaptureKind::position, repeat, plan.conduct.attempts))
                return true;
    return false;
}

bool Ledger::endsWithCheck(const Plan& plan, Stance stance) const {
    return std::all_of(plan.drives.begin(), plan.drives.end(), [&](const DrivePlan& drive) {
        const auto found = last_.find({drive.name, stance});
        return found != last_.end() && found->second == CaptureKind::axisCheck;
    });
}

int Ledger::nextRepeat(const std::string& drive, CaptureKind kind, Stance stance) const {
    int repeat = 1;
    while (tallies_.contains(captureId(drive, "", stance, kind, repeat, 1))) ++repeat;
    return repeat;
}

std::vector<Drift> driftsOf(const RunRecord& run) {
    std::vector<Drift> drifts;
    for (const DriveRecord& drive : run.drives)
        for (const Stance stance : {Stance::upright, Stance::onSide}) {
            Drift drift{drive.name, stance};
            for (const Capture& capture : drive.captures) {
                if (capture.kind != CaptureKind::axisCheck || capture.stance != stance || capture.repeat == 1 ||
                    capture.state == CaptureState::superseded || !std::isfinite(capture.quality.driftDb))
                    continue;
                ++drift.checks;
                drift.levelDb = capture.quality.driftDb;
                drift.delayS = capture.quality.driftS;
                drift.largestDb = std::max(drift.largestDb, std::abs(drift.levelDb));
                drift.largestS = std::max(drift.largestS, std::abs(drift.delayS));
            }
            if (drift.checks > 0) drifts.push_back(drift);
        }
    return drifts;
}

std::string signedText(double value, int decimals) {
    const std::string text = fixedText(value, decimals);
    const bool isZero = text.find_first_of("123456789") == std::string::npos;
    return isZero ? fixedText(0, decimals) : text.starts_with('-') ? text : "+" + text;
}

std::string driftText(const Drift& drift) {
    std::string text = fmt::format("drift of {} {} on the axis at the end: {} dB, {} µs", drift.drive,
                                   stanceName(drift.stance), signedText(drift.levelDb, 3),
                                   signedText(drift.delayS * 1e6, 2));
    if (drift.checks > 1)
        text += fmt::format("; at most {} dB, {} µs in {} checks", fixedText(drift.largestDb, 3),
                            fixedText(drift.largestS * 1e6, 2), drift.checks);
    return text;
}

}  // namespace volvelle
