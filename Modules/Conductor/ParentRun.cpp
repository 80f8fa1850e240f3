#include "Conductor/ParentRun.h"

#include "Conductor/RedoEvent.h"
#include "Text/Error.h"

#include <set>
#include <string>
#include <vector>

namespace volvelle {

namespace {

std::set<std::string> idsOf(const RunRecord& run) {
    std::set<std::string> ids;
    for (const DriveRecord& drive : run.drives)
        for (const Capture& capture : drive.captures) ids.insert(capture.id);
    return ids;
}

/// As it was judged before another attempt superseded it (see markSuperseded): it will be again.
Capture asJudged(Capture capture) {
    if (capture.state != CaptureState::superseded) return capture;
    const std::size_t why = capture.reason.find(": ");
    capture.state = why == std::string::npos ? CaptureState::kept : CaptureState::doubtful;
    capture.reason = why == std::string::npos ? std::string() : capture.reason.substr(why + 2);
    return capture;
}

bool playsTheSame(const DriveRecord& a, const DriveRecord& b) {
    return a.name == b.name && a.form == b.form && a.sampleRateHz == b.sampleRateHz &&
           a.channelRoles == b.channelRoles && a.samplesPerChannel == b.samplesPerChannel &&
           a.excitation.samples == b.excitation.samples;
}

}  // namespace

void requireSameShots(const RunRecord& planned, const RunRecord& begun, const std::string& where) {
    bool same = planned.drives.size() == begun.drives.size();
    for (std::size_t d = 0; same && d < planned.drives.size(); ++d)
        same = playsTheSame(planned.drives[d], begun.drives[d]);
    if (!same)
        throw Error(ErrorKind::input, "its drives were excited or recorded otherwise than the plan does it now", where,
                    "Begin another run");
}

std::unique_ptr<CapturesUnderWay> beginFromParent(const ReadableRun& parent, const std::string& runPath,
                                                  const RunRecord& head, Files& files,
                                                  const std::stop_token& stop) {
    requireSameShots(head, parent.record(), parent.path());
    RunRecord taken = parent.record();
    taken.provenance = head.provenance;
    taken.provenance.parentRun = parent.fingerprint();
    taken.events.clear();
    for (DriveRecord& drive : taken.drives) drive.captures.clear();
    auto captures = CapturesUnderWay::begin(runPath, taken, files);
    takeOverParent(parent, *captures, stop);
    return captures;
}

void takeOverParent(const ReadableRun& parent, CapturesUnderWay& captures, const std::stop_token& stop) {
    if (captures.record().provenance.parentRun != parent.fingerprint())
        throw Error(ErrorKind::input, "is not the run that this one was begun from", parent.path(),
                    "Name that one, or leave --from out");
    const std::set<std::string> known = idsOf(parent.record()), held = idsOf(captures.record());
    for (const std::string& id : held)
        if (!known.contains(id)) return;
    const auto& events = parent.record().events;
    for (std::size_t e = captures.record().events.size(); e < events.size(); ++e) captures.note(events[e]);
    for (std::size_t d = 0; d < parent.record().drives.size(); ++d) {
        const DriveRecord& drive = parent.record().drives[d];
        std::vector<float> samples(drive.channelRoles.size() * drive.samplesPerChannel);
        for (std::size_t c = 0; c < drive.captures.size(); ++c) {
            if (held.contains(drive.captures[c].id)) continue;
            if (stop.stop_requested())
                throw Error(ErrorKind::stopped,
                            "a stop was asked for while captures were taken over; those that were are saved",
                            captures.path(), "Go on with the same command and --resume");
            parent.readCapture(d, c, samples);
            captures.keep(d, asJudged(drive.captures[c]), samples);
        }
    }
    if (captures.record().events.size() == events.size())
        captures.note({captures.record().provenance.utc, takenOverEvent(parent.fingerprint())});
}

}  // namespace volvelle
