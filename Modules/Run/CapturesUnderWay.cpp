#include "Run/CapturesUnderWay.h"

#include "Run/CheckedRows.h"
#include "Run/PartFile.h"
#include "Run/PartFolder.h"
#include "Run/SealedAlready.h"
#include "Run/Superseding.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <algorithm>
#include <functional>
#include <mutex>
#include <utility>
#include <vector>

namespace volvelle {

struct CapturesUnderWay::State {
    /// What belongs to the captures of a drive, one for each.
    struct Beside {
        std::vector<PartSamples> samples;
        std::vector<OwnState> own;
    };

    State(const std::string& runPath, Files& files) : run(runPathOf(runPath)), folder(run, files) {}

    void take(RunRecord head) {
        record = std::move(head);
        beside.resize(record.drives.size());
    }

    void add(std::size_t drive, Capture capture, PartSamples samples) {
        beside[drive].own.push_back({capture.state, capture.reason});
        beside[drive].samples.push_back(std::move(samples));
        auto& captures = record.drives[drive].captures;
        captures.push_back(std::move(capture));
        markSuperseded(captures, beside[drive].own, captures.size() - 1);
    }

    std::size_t driveOf(const CapturePart& part, const std::string& where) const;
    void read(const PartFolder::Name& part);
    void readAll();
    void requireWritable() const;
    void readSamples(std::size_t drive, std::size_t capture, std::span<std::byte> out, SampleType stored) const;

    std::string run;
    PartFolder folder;
    RunRecord record;
    std::vector<Beside> beside;
    bool writes = false, isSealed = false;
    mutable std::mutex mutex;  ///< between the writer and those who read samples
};

std::size_t CapturesUnderWay::State::driveOf(const CapturePart& part, const std::string& where) const {
    const auto found = std::find_if(record.drives.begin(), record.drives.end(),
                                    [&](const DriveRecord& drive) { return drive.name == part.drive; });
    const bool fits =
        found != record.drives.end() && part.samples.entry.rowLength == found->channelRoles.size() *
                                                                            found->samplesPerChannel *
                                                                            sizeof(float);
    if (!fits)
        throw Error(ErrorKind::damaged, "is a capture that does not belong to this run", where,
                    "Remove it from the folder");
    return static_cast<std::size_t>(found - record.drives.begin());
}

void CapturesUnderWay::State::read(const PartFolder::Name& part) {
    const std::string path = folder.pathOf(part.text);
    if (part.kind == PartFolder::PartKind::event) {
        record.events.push_back(readEventPart(path, folder.files()));
        return;
    }
    CapturePart capture = readCapturePart(path, folder.files());
    capture.samples.part = part.text;
    const std::size_t drive = driveOf(capture, path);
    add(drive, std::move(capture.capture), std::move(capture.samples));
}

void CapturesUnderWay::State::readAll() {
    take(readHead(folder.pathOf(PartFolder::headName), folder.files()));
    std::string damaged;
    std::size_t count = 0, next = 1;
    for (const PartFolder::Name& part : folder.parts()) {
        next = part.number + 1;
        try {
            read(part);
        } catch (const Error& error) {
            if (error.kind() != ErrorKind::damaged) throw;
            if (++count <= 5) damaged += (damaged.empty() ? "" : ", ") + part.text;
        }
    }
    folder.continueFrom(next);
    if (count == 0) return;
    if (count > 5) damaged += " and " + fixedText(static_cast<double>(count - 5), 0) + " more";
    throw Error(ErrorKind::damaged, "parts do not agree with their digests: " + damaged, folder.path(),
                "Restore them from a copy; or move them out of the folder, and --resume captures these again");
}

void CapturesUnderWay::State::requireWritable() const {
    if (isSealed) throw Error(ErrorKind::bug, "was sealed, and takes no more", run, "Report this");
    if (!writes) throw Error(ErrorKind::bug, "is open for reading only", folder.path(), "Report this");
}

void CapturesUnderWay::State::readSamples(std::size_t drive, std::size_t capture, std::span<std::byte> out,
                                          SampleType stored) const {
    PartSamples samples;
    {
        const std::lock_guard guard(mutex);
        samples = beside.at(drive).samples.at(capture);
    }
    if (samples.entry.rowLength != out.size())
        throw Error(ErrorKind::bug, "has captures of another size", samples.part, "Report this");
    const std::string path = folder.pathOf(samples.part);
    const auto file = folder.files().openForReading(path);
    readCheckedSamples(*file, samples.entry, 0, out, stored, path);
}

namespace {

/// Samples part by part, as they are stored.
class PartSource final : public CaptureSource {
public:
    using Read = std::function<void(std::size_t, std::size_t, std::span<std::byte>)>;
    explicit PartSource(Read read) : read_(std::move(read)) {}

    void read(std::size_t drive, std::size_t capture, std::span<std::int32_t> out) override {
        read_(drive, capture, std::as_writable_bytes(out));
    }
    void read(std::size_t drive, std::size_t capture, std::span<float> out) override {
        read_(drive, capture, std::as_writable_bytes(out));
    }

private:
    Read read_;
};

/// Locks a folder that was found without a head: a run that stopped before it had begun.
void takeOverUnbegun(PartFolder& folder) {
    if (folder.hasHead())
        throw Error(ErrorKind::output, "captures of this run are under way already", folder.path(),
                    "Go on with --resume, or choose another name");
    folder.lock();
    if (!folder.parts().empty() || folder.hasHead()) {
        folder.unlockQuietly();
        throw Error(ErrorKind::output, "a folder of captures lies there already", folder.path(),
                    "Choose another name, or move it away");
    }
}

}  // namespace

CapturesUnderWay::CapturesUnderWay(std::unique_ptr<State> state) : state_(std::move(state)) {
}

CapturesUnderWay::~CapturesUnderWay() {
    state_->folder.unlockQuietly();
}

std::unique_ptr<CapturesUnderWay> CapturesUnderWay::begin(const std::string& runPath, const RunRecord& head,
                                                          Files& files) {
    auto state = std::make_unique<State>(runPath, files);
    PartFolder& folder = state->folder;
    const std::vector<std::byte> image = headImage(head);
    if (files.exists(state->run)) failSealedAlready(state->run);
    if (folder.exists())
        takeOverUnbegun(folder);
    else
        folder.makeAndLock();
    try {
        folder.removeUnfinishedParts();
        folder.writeHead(image);
        // One that was found there may have been made by a process that had no time to sync its name.
        files.syncFolderOf(folder.path());
    } catch (const Error&) {
        folder.removeQuietly();
        throw;
    }
    state->take(head);
    state->writes = true;
    return std::unique_ptr<CapturesUnderWay>(new CapturesUnderWay(std::move(state)));
}

std::unique_ptr<CapturesUnderWay> CapturesUnderWay::resume(const std::string& runPath, Files& files) {
    auto state = std::make_unique<State>(runPath, files);
    PartFolder& folder = state->folder;
    if (!folder.exists() && files.exists(state->run)) failSealedAlready(state->run);
    if (!folder.exists())
        throw Error(ErrorKind::input, "no captures of this run are under way", folder.path(),
                    "Begin it without --resume, or check the name");
    folder.lock();
    std::unique_ptr<CapturesUnderWay> run(new CapturesUnderWay(std::move(state)));  // gives up the lock
    if (files.exists(run->state_->run)) {
        finishSealing(run->state_->run, folder);
        failSealedAlready(run->state_->run);
    }
    if (!folder.hasHead())
        throw Error(ErrorKind::input, "the run was stopped before it had begun", folder.path(),
                    "Begin it without --resume");
    folder.removeUnfinishedParts();
    run->state_->readAll();
    run->state_->writes = true;
    return run;
}

std::unique_ptr<CapturesUnderWay> CapturesUnderWay::look(const std::string& runPath, Files& files) {
    auto state = std::make_unique<State>(runPath, files);
    if (!state->folder.exists())
        throw Error(ErrorKind::input, "there is no such run", state->run, "Check the name and the folder");
    if (!state->folder.hasHead())
        throw Error(ErrorKind::input, "the run has not begun yet, or was stopped before",
                    state->folder.path(), "Look again later");
    state->readAll();
    return std::unique_ptr<CapturesUnderWay>(new CapturesUnderWay(std::move(state)));
}

void CapturesUnderWay::keep(std::size_t drive, const Capture& capture, std::span<const float> samples) {
    state_->requireWritable();
    CaptureImage image = captureImage(state_->record.drives.at(drive), capture, samples);
    image.samples.part = state_->folder.write(PartFolder::PartKind::capture, image.bytes);
    const std::lock_guard guard(state_->mutex);
    state_->add(drive, capture, std::move(image.samples));
}

void CapturesUnderWay::note(const Event& event) {
    state_->requireWritable();
    state_->folder.write(PartFolder::PartKind::event, eventImage(event));
    const std::lock_guard guard(state_->mutex);
    state_->record.events.push_back(event);
}

void CapturesUnderWay::restate(std::size_t drive, std::span<const Capture> captures) {
    auto& own = state_->beside.at(drive).own;
    auto& held = state_->record.drives[drive].captures;
    if (captures.size() != held.size())
        throw Error(ErrorKind::bug, "has another number of captures than were kept",
                    "drive '" + state_->record.drives[drive].name + "'", "Report this");
    const std::lock_guard guard(state_->mutex);
    for (std::size_t i = 0; i < held.size(); ++i) {
        held[i].quality = captures[i].quality;
        held[i].state = captures[i].state;
        held[i].reason = captures[i].reason;
        if (captures[i].state != CaptureState::superseded) own[i] = {captures[i].state, captures[i].reason};
    }
    for (std::size_t i = 0; i < held.size(); ++i) markSuperseded(held, own, i);
}

void CapturesUnderWay::seal() {
    state_->requireWritable();
    for (const DriveRecord& drive : state_->record.drives)
        if (drive.captures.empty())
            throw Error(ErrorKind::input, "drive '" + drive.name + "' has no captures yet", state_->folder.path(),
                        "Go on with --resume: a run is sealed when all its drives were captured");
    Files& files = state_->folder.files();
    state_->folder.settle();
    state_->folder.removeUnfinishedParts();
    // Stored integers are handed on as they are: only the float32 that readers get are scaled.
    PartSource source([&](std::size_t drive, std::size_t capture, std::span<std::byte> out) {
        state_->readSamples(drive, capture, out, SampleType::float32);
    });
    // Within the folder, so that what a crash leaves of it is removed when the run is gone on with.
    writeSealedRun(state_->run, state_->record, source, files, state_->folder.pathOf("sealed.h5.writing"));
    state_->isSealed = true;
    state_->folder.removeQuietly();
}

const RunRecord& CapturesUnderWay::record() const {
    return state_->record;
}

const std::string& CapturesUnderWay::fingerprint() const {
    static const std::string none;
    return none;
}

const std::string& CapturesUnderWay::path() const {
    return state_->folder.path();
}

void CapturesUnderWay::readCapture(std::size_t drive, std::size_t capture, std::span<float> out) const {
    if (state_->isSealed) throw Error(ErrorKind::bug, "was sealed: open it", state_->run, "Report this");
    state_->readSamples(drive, capture, std::as_writable_bytes(out),
                        state_->record.drives.at(drive).sampleType);
}

void CapturesUnderWay::readAhead(std::size_t) const {
}

std::vector<PieceReport> verifyCapturesUnderWay(const std::string& runPath, Files& files) {
    const PartFolder folder(runPath, files);
    std::vector<std::string> names{PartFolder::headName};
    for (const PartFolder::Name& part : folder.parts()) names.push_back(part.text);
    std::vector<PieceReport> pieces;
    for (const std::string& name : names) {
        const std::size_t length = files.openForReading(folder.pathOf(name))->size();
        pieces.push_back({name, 0, length, isIntact(folder.pathOf(name), files)});
    }
    return pieces;
}

}  // namespace volvelle
