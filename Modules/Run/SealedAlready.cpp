#include "Run/SealedAlready.h"

#include "Run/PartFile.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <algorithm>
#include <set>
#include <tuple>

namespace volvelle {

namespace {

using Held = std::tuple<std::string, std::string, int, Digest>;  ///< drive, id, attempt, digest of the samples

/// What a sealed run holds, of recordings and impulse responses.
std::set<Held> held(const std::string& runPath, const Files& files, const RunRecord& record) {
    const auto file = files.openForReading(runPath);
    const Seal seal = readSeal(*file, runPath);
    std::set<Held> all;
    for (const DriveRecord& drive : record.drives) {
        const auto entry = std::find_if(seal.entries.begin(), seal.entries.end(), [&](const SealEntry& e) {
            return e.name == "drives/" + drive.name + "/samples";
        });
        if (entry == seal.entries.end()) continue;
        for (std::size_t i = 0; i < drive.captures.size(); ++i)
            all.emplace(drive.name, drive.captures[i].id, drive.captures[i].attempt, entry->rows[i]);
    }
    return all;
}

bool holds(const std::vector<Event>& events, const Event& event) {
    return std::any_of(events.begin(), events.end(),
                       [&](const Event& e) { return e.utc == event.utc && e.text == event.text; });
}

}  // namespace

void failSealedAlready(const std::string& runPath) {
    throw Error(ErrorKind::output, "exists already: this run is sealed", runPath,
                "A run is never overwritten: choose another name for a new one");
}

void finishSealing(const std::string& runPath, PartFolder& folder) {
    Files& files = folder.files();
    const auto pieces = verifyRun(runPath, files);
    if (!std::all_of(pieces.begin(), pieces.end(), [](const PieceReport& p) { return p.intact; }))
        throw Error(ErrorKind::damaged, "the sealed run does not agree with its digests", runPath,
                    "Its captures are still in '" + folder.path() +
                        "': move the damaged file away, and --resume seals them again");
    const SealedRun run(runPath, files);
    const std::set<Held> sealed = held(runPath, files, run.record());
    for (const PartFolder::Name& name : folder.parts()) {
        const std::string path = folder.pathOf(name.text);
        bool isHeld = false;
        if (name.kind == PartFolder::PartKind::event) {
            isHeld = holds(run.record().events, readEventPart(path, files));
        } else {
            const CapturePart part = readCapturePart(path, files);
            isHeld = sealed.contains({part.drive, part.capture.id, part.capture.attempt,
                                      part.samples.entry.rows.front()});
        }
        if (!isHeld)
            throw Error(ErrorKind::output, "is not held by the sealed run of this name", path,
                        "Move '" + runPath + "' away if the folder is of another run; nothing was removed");
    }
    folder.removeQuietly();
}

}  // namespace volvelle
