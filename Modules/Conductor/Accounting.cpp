#include "Conductor/Accounting.h"

#include "Conductor/Ledger.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace volvelle {

namespace {

/// For the run alone: the account says it to whoever looks on.
void noteOnce(CapturesUnderWay& captures, const Clock& clock, const std::string& text) {
    const auto& events = captures.record().events;
    const bool known = std::any_of(events.begin(), events.end(), [&](const Event& e) { return e.text == text; });
    if (!known) captures.note({clock.utc(), text});
}

/// Series of checks on the axis that depart from the first, with the last good ones on both sides.
void remarkOnDepartures(const DriveRecord& drive, Stance stance, std::vector<std::string>& remarks) {
    const Capture* good = nullptr;
    const Capture* departed = nullptr;
    const auto close = [&](const Capture* next) {
        if (departed == nullptr) return;
        const std::string since = good != nullptr ? "after " + good->id : "from the start";
        const std::string until = next != nullptr ? " and before " + next->id : "";
        remarks.push_back(departed->id + " " + departed->reason + ": what was measured " + since + until +
                          " is in question");
        departed = nullptr;
    };
    for (const Capture& capture : drive.captures) {
        if (capture.kind != CaptureKind::axisCheck || capture.stance != stance ||
            capture.state == CaptureState::superseded)
            continue;
        if (capture.reason.find(departsFromFirst) != std::string::npos) {
            if (departed == nullptr) departed = &capture;
            continue;
        }
        close(&capture);
        good = &capture;
    }
    close(nullptr);
}

/// A reason without its figures.
std::string kindOf(const std::string& reason) {
    std::string kind = reason.substr(0, reason.find_first_of("0123456789:;"));
    while (kind.ends_with(' ')) kind.pop_back();
    return kind;
}

void remarkOnDoubts(const RunRecord& run, std::vector<std::string>& remarks) {
    std::size_t counting = 0, doubtful = 0;
    struct Reason {
        std::size_t times = 0;
        std::string first;
    };
    std::map<std::string, Reason> reasons;
    for (const DriveRecord& drive : run.drives)
        for (const Capture& capture : drive.captures) {
            if (capture.kind != CaptureKind::position || capture.state == CaptureState::superseded) continue;
            ++counting;
            if (capture.state != CaptureState::doubtful) continue;
            ++doubtful;
            Reason& reason = reasons[kindOf(capture.reason)];
            if (++reason.times == 1) reason.first = capture.reason;
        }
    if (4 * doubtful <= counting) return;
    const auto commonest = std::max_element(reasons.begin(), reasons.end(), [](const auto& a, const auto& b) {
        return a.second.times < b.second.times;
    });
    remarks.push_back(fmt::format("{} of {} captures are doubtful, {} of them for one kind of reason ({}); do not trust "
                                  "this run before the cause is found",
                                  doubtful, counting, commonest->second.times, commonest->second.first));
}

}  // namespace

double timeLeftS(const Plan& plan, const RunAccount& account, const Sitting& sitting, double roundS, int legsLeft) {
    const auto left = static_cast<double>(account.positions - account.positionsDone);
    const int every = plan.conduct.axisCheckEvery;
    const double checks = legsLeft + (every > 0 ? std::floor(left / every) : 0);
    return left * (sitting.perMoveS() + plan.conduct.repeats * roundS) + checks * (sitting.perMoveS() + roundS);
}

RunProgress progressOf(const Plan& plan, const RunAccount& account, const Stop& stop, const TakenCapture& taken,
                       double leftS) {
    const CaptureKind kind = taken.capture.kind;
    RunProgress progress;
    progress.position = kind == CaptureKind::lowSweep    ? "first sweep"
                        : kind == CaptureKind::axisCheck ? "check on the axis"
                                                         : stop.name;
    progress.drive = plan.drives[taken.drive].name;
    progress.positionsDone = account.positionsDone;
    progress.positions = account.positions;
    progress.quality = taken.capture.state == CaptureState::doubtful ? taken.capture.reason : "good";
    progress.leftS = leftS;
    return progress;
}

void judgeWhole(const Plan& plan, const CaptureTaker& taker, CapturesUnderWay& captures, const Clock& clock,
                RunAccount& account) {
    RunRecord whole = captures.record();
    JudgeSettings settings;
    settings.latencyS = plan.latencyS;
    account.remarks = taker.remarks();
    for (std::string& remark : judgeRun(whole, settings)) account.remarks.push_back(std::move(remark));
    for (const DriveRecord& drive : whole.drives)
        for (const Stance stance : {Stance::upright, Stance::onSide})
            remarkOnDepartures(drive, stance, account.remarks);
    remarkOnDoubts(whole, account.remarks);
    for (std::size_t d = 0; d < whole.drives.size(); ++d) captures.restate(d, whole.drives[d].captures);
    for (const std::string& remark : account.remarks) noteOnce(captures, clock, remark);
    for (const Drift& drift : driftsOf(whole)) noteOnce(captures, clock, driftText(drift));
}

void closeAccount(const Sitting& sitting, const RunRecord& run, RunAccount& account) {
    account.wallS = sitting.wallS();
    account.neededS = sitting.neededS();
    account.waitedS = sitting.waitedS();
    account.drift = driftsOf(run);
    for (const DriveRecord& drive : run.drives)
        for (const Capture& capture : drive.captures)
            if (capture.kind == CaptureKind::position && capture.state == CaptureState::doubtful)
                account.doubtful.push_back(drive.name + " at " + positionName(capture) + ": " + capture.reason);
}

}  // namespace volvelle
