#include "Command/RunRoom.h"

#include "Conductor/Forecast.h"
#include "Conductor/Ledger.h"
#include "Conductor/RedoEvent.h"
#include "Run/Files.h"
#include "Run/OutputFolder.h"

#include <algorithm>
#include <cstdint>
#include <functional>

namespace volvelle {

namespace {

/// Of a run of these positions alone; 0 of none.
std::uint64_t bytesOf(const PlannedRun& planned, const std::function<bool(const SetPosition&)>& isWanted) {
    AngleSet set = planned.set;
    std::erase_if(set.positions, [&](const SetPosition& position) { return !isWanted(position); });
    return set.positions.empty() ? 0 : forecastOf(planned.plan, set).bytes;
}

std::uint64_t sizeOf(const std::string& path) {
    return diskFiles().openForReading(path)->size();
}

std::uint64_t bytesIn(const std::string& folder) {
    std::uint64_t bytes = 0;
    for (const std::string& name : diskFiles().listFolder(folder)) bytes += sizeOf(folder + "/" + name);
    return bytes;
}

void requireRoomFor(const std::string& runPath, std::uint64_t bytes) {
    requireWritableFolder(runPath);
    requireRoom(runPath, bytes, bytes, diskFiles());
}

}  // namespace

void requireRoomToBegin(const PlannedRun& planned, const std::string& runPath) {
    requireRoomFor(runPath, bytesOf(planned, [](const SetPosition&) { return true; }));
}

void requireRoomToBegin(const PlannedRun& planned, const std::string& runPath, const std::string& parentPath,
                        const std::vector<NamedPosition>& redo) {
    const auto isAgain = [&](const SetPosition& p) {
        return std::any_of(redo.begin(), redo.end(), [&](const NamedPosition& wanted) {
            return positionName(wanted.direction, wanted.orbit) == positionName(p.direction, p.orbit);
        });
    };
    requireRoomFor(runPath, sizeOf(parentPath) + bytesOf(planned, isAgain));
}

void requireRoomToGoOn(const PlannedRun& planned, const CapturesUnderWay& captures,
                       const std::vector<NamedPosition>& redo) {
    const RunRecord& run = captures.record();
    const Ledger ledger(run, redo, begunRedo(run, redo).value_or(captureCounts(run)));
    const std::uint64_t toCome = bytesOf(planned, [&](const SetPosition& p) {
        return ledger.isOpen(planned.plan, positionName(p.direction, p.orbit), p.stance);
    });
    requireRoom(captures.path(), toCome, bytesIn(captures.path()) + toCome, diskFiles());
}

}  // namespace volvelle
