#include "Run/RunFile.h"

#include "Run/CheckedRows.h"
#include "Run/Hdf5.h"
#include "Run/RunLayout.h"
#include "Run/Seal.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <algorithm>
#include <utility>

namespace volvelle {

namespace {

using What = StoredRows::What;

std::string captureNumber(std::size_t capture) {
    return "capture " + fixedText(static_cast<double>(capture + 1), 0);
}

std::string captureText(const std::string& dataset, const RunRecord& run, const StoredRows& rows,
                        std::size_t capture) {
    return dataset + ", " + captureNumber(capture) + " (" + run.drives[rows.drive].captures[capture].id + ")";
}

/// Everything that HDF5 parses, once it is found intact.
Structure readCheckedStructure(const OpenFile& file, const Seal& seal, const std::string& path) {
    CheckedBytes bytes = readCheckedBytes(file, seal, path);
    const Hdf5File hdf5 = Hdf5File::open(bytes, path);
    return readStructure(hdf5, path);
}

}  // namespace

struct SealedRun::State {
    std::string path, fingerprint;
    std::unique_ptr<OpenFile> file;
    Seal seal;
    RunRecord record;
    struct DriveRows {
        std::vector<std::pair<StoredRows, const SealEntry*>> perCapture;  ///< samples; or level, then phase
    };
    std::vector<DriveRows> drives;

    void adopt(Structure structure) {
        record = std::move(structure.record);
        drives.resize(record.drives.size());
        for (const StoredRows& rows : structure.rows) {
            const SealEntry& entry = entryOf(rows, seal, path);
            if (rows.isPerCapture()) drives[rows.drive].perCapture.emplace_back(rows, &entry);
            if (rows.what == What::excitation) readExcitation(rows, entry);
        }
    }

    void readExcitation(const StoredRows& rows, const SealEntry& entry) {
        auto& samples = record.drives[rows.drive].excitation.samples;
        samples.resize(rows.rowLength / sizeof(float));
        readCheckedRow(*file, entry, 0, std::as_writable_bytes(std::span(samples)), path + ": " + rows.name);
    }
};

SealedRun::SealedRun(const std::string& path, Files& files) : state_(std::make_unique<State>()) {
    state_->path = path;
    state_->file = files.openForReading(path);
    state_->seal = readSeal(*state_->file, path);
    state_->fingerprint = hexadecimal(state_->seal.checksum);
    requireSealedLength(*state_->file, state_->seal, path);
    state_->adopt(readCheckedStructure(*state_->file, state_->seal, path));
}

SealedRun::~SealedRun() = default;
SealedRun::SealedRun(SealedRun&&) noexcept = default;

const RunRecord& SealedRun::record() const {
    return state_->record;
}

const std::string& SealedRun::fingerprint() const {
    return state_->fingerprint;
}

const std::string& SealedRun::path() const {
    return state_->path;
}

void SealedRun::readCapture(std::size_t drive, std::size_t capture, std::span<float> out) const {
    const DriveRecord& record = state_->record.drives.at(drive);
    std::span<float> rest = out;
    for (const auto& [rows, entry] : state_->drives.at(drive).perCapture) {
        const std::size_t count = entry->rowLength / sizeof(float);
        if (capture >= rows.rows || count > rest.size())
            throw Error(ErrorKind::bug, "has no such capture, or one of another size",
                        captureNumber(capture) + " of drive '" + record.name + "'", "Report this");
        const auto bytes = std::as_writable_bytes(rest.first(count));
        const std::string name = state_->path + ": " + captureText(rows.name, state_->record, rows, capture);
        readCheckedSamples(*state_->file, *entry, capture, bytes, record.sampleType, name);
        rest = rest.subspan(count);
    }
    if (!rest.empty())
        throw Error(ErrorKind::bug, "has captures of another size", "drive '" + record.name + "'",
                    "Report this");
}

void SealedRun::readAhead(std::size_t drive) const {
    for (const auto& [rows, entry] : state_->drives.at(drive).perCapture)
        state_->file->willRead(entry->offset, entry->end() - entry->offset);
}

namespace {

/// The names of captures, as far as the tables that hold them are intact.
Structure structureForNames(const OpenFile& file, const Seal& seal, const std::string& path, bool isIntact) {
    if (!isIntact) return {};
    return readCheckedStructure(file, seal, path);
}

std::string pieceName(const SealEntry& entry, std::size_t row, const Structure& structure) {
    const auto rows = std::find_if(structure.rows.begin(), structure.rows.end(),
                                   [&](const StoredRows& r) { return r.name == entry.name; });
    if (rows != structure.rows.end() && rows->isPerCapture() && row < rows->rows)
        return captureText(entry.name, structure.record, *rows, row);
    return entry.rows.size() > 1 ? entry.name + ", " + captureNumber(row) : entry.name;
}

}  // namespace

std::vector<PieceReport> verifyRun(const std::string& path, Files& files) {
    const auto file = files.openForReading(path);
    const Seal seal = readSeal(*file, path);
    const std::uint64_t size = file->size();
    std::vector<PieceReport> pieces{
        {"seal", 0, seal.length, true},
        {"padding of the seal", seal.length, seal.userBlock - seal.length, paddingIsZero(*file, seal)}};
    bool structureIsIntact = true;
    for (const SealEntry& entry : seal.entries)
        if (entry.kind == SealEntry::Kind::structure)
            structureIsIntact = rowIsIntact(*file, entry, 0) && structureIsIntact;
    const Structure structure = structureForNames(*file, seal, path, structureIsIntact);
    for (const SealEntry& entry : seal.entries)
        for (std::size_t row = 0; row < entry.rows.size(); ++row)
            pieces.push_back({pieceName(entry, row, structure), entry.rowOffset(row), entry.rowLength,
                              rowIsIntact(*file, entry, row)});
    if (size > seal.fileLength)
        pieces.push_back({"bytes after the end", seal.fileLength, size - seal.fileLength, false});
    return pieces;
}

}  // namespace volvelle
