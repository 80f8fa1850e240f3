#include "Run/Hdf5.h"
#include "Run/RunFile.h"
#include "Run/RunLayout.h"
#include "Run/Seal.h"
#include "Run/Unfinished.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <algorithm>
#include <cstring>
#include <memory>
#include <optional>
#include <utility>

namespace volvelle {

namespace {

using What = StoredRows::What;

constexpr std::size_t chunk = 1 << 20;  // bytes: large enough for the disk, small enough for the caches

/// The part of the file that HDF5 makes, and where the rows go that it only describes.
struct Skeleton {
    ScatteredBytes bytes;
    std::uint32_t userBlock = 0;
    std::vector<StoredRows> rows;
};

void build(Skeleton& skeleton, const RunRecord& run) {
    skeleton.userBlock = userBlockFor(run);
    Hdf5File file = Hdf5File::create(skeleton.bytes, skeleton.userBlock, "run");
    skeleton.rows = writeStructure(file, run);
    file.close();
}

/// A file beside the run that becomes it, or is removed.
class TemporaryFile {
public:
    TemporaryFile(Files& files, std::string path, std::string name)
        : files_(files), path_(std::move(path)), name_(std::move(name)) {
        if (name_.empty()) name_ = freeName();
        unfinished_.emplace(name_, [this] { file_ = files_.create(name_); });
    }
    ~TemporaryFile() {
        file_.reset();
        if (!name_.empty()) removeQuietly(name_);
    }
    TemporaryFile(const TemporaryFile&) = delete;
    TemporaryFile& operator=(const TemporaryFile&) = delete;

    OpenFile& file() { return *file_; }
    const std::string& name() const { return name_; }

    void becomeTheRun() {
        files_.rename(name_, path_);
        name_.clear();
        unfinished_.reset();
        try {
            files_.syncFolderOf(path_);
        } catch (const Error&) {
            removeQuietly(path_);
            throw;
        }
    }

private:
    std::string freeName() const {
        std::string name = path_ + ".writing";
        // What a crash left behind is not ours to remove.
        for (int n = 2; n < 100 && files_.exists(name); ++n) name = path_ + ".writing-" + fixedText(n, 0);
        return name;
    }

    void removeQuietly(const std::string& name) {
        try {
            files_.remove(name);
        } catch (const Error&) {  // the error that brought us here says more
        }
    }

    Files& files_;
    std::string path_, name_;
    std::unique_ptr<OpenFile> file_;
    std::optional<Unfinished> unfinished_;
};

/// Collects bytes that follow one another, so that small rows do not become small writes.
class Appender {
public:
    Appender(OpenFile& file, std::uint64_t at) : file_(file), at_(at) {}

    void add(std::span<const std::byte> bytes) {
        if (pending_.size() + bytes.size() > chunk) flush();
        pending_.insert(pending_.end(), bytes.begin(), bytes.end());
    }

    void flush() {
        if (!pending_.empty()) file_.writeAt(at_, pending_);
        at_ += pending_.size();
        pending_.clear();
    }

    std::uint64_t at() const { return at_ + pending_.size(); }

private:
    OpenFile& file_;
    std::uint64_t at_;
    std::vector<std::byte> pending_;
};

/// Writes from the user block's end on, in order, and keeps the digest of each row.
class PieceWriter {
public:
    PieceWriter(OpenFile& file, const RunRecord& run, CaptureSource& source, const Skeleton& skeleton)
        : run_(run), source_(source), skeleton_(skeleton), out_(file, skeleton.userBlock) {}

    Seal write() {
        Seal seal;
        seal.userBlock = skeleton_.userBlock;
        seal.fileLength = skeleton_.bytes.length;
        for (const StoredRows& rows : skeleton_.rows) {
            addStructure(seal, rows.offset);
            addRows(seal, rows);
        }
        addStructure(seal, seal.fileLength);
        out_.flush();
        return seal;
    }

private:
    void addStructure(Seal& seal, std::uint64_t end) {
        const std::uint64_t begin = out_.at();
        if (begin == end) return;
        Sha256 hash;
        std::vector<std::byte> bytes;
        for (std::uint64_t at = begin; at < end; at += bytes.size()) {
            bytes.resize(std::min<std::uint64_t>(chunk, end - at));
            skeleton_.bytes.read(at, bytes);
            hash.add(bytes);
            out_.add(bytes);
        }
        ++structures_;
        seal.entries.push_back({SealEntry::Kind::structure,
                                "metadata " + fixedText(structures_, 0),
                                begin,
                                end - begin,
                                {hash.finish()}});
    }

    void addRows(Seal& seal, const StoredRows& rows) {
        SealEntry entry{SealEntry::Kind::samples, rows.name, out_.at(), rows.rowLength, {}};
        entry.rows.reserve(rows.rows);
        for (std::size_t row = 0; row < rows.rows; ++row) {
            fill(rows, row);
            entry.rows.push_back(sha256(row_));
            out_.add(row_);
        }
        seal.entries.push_back(std::move(entry));
    }

    template <typename T>
    std::span<T> rowAs() {
        return {reinterpret_cast<T*>(row_.data()), row_.size() / sizeof(T)};
    }

    void fill(const StoredRows& rows, std::size_t row) {
        const DriveRecord& drive = run_.drives[rows.drive];
        row_.resize(rows.rowLength);
        switch (rows.what) {
            case What::samples:
                if (drive.sampleType == SampleType::int32)
                    source_.read(rows.drive, row, rowAs<std::int32_t>());
                else
                    source_.read(rows.drive, row, rowAs<float>());
                return;
            case What::level:
            case What::phase:
                return fillText(rows, row);
            case What::time:
                return fillTime(drive.sampleRateHz);
            case What::excitationTime:
                return fillTime(drive.excitation.sampleRateHz);
            case What::excitation:
                std::memcpy(row_.data(), drive.excitation.samples.data(), row_.size());
                return;
        }
    }

    void fillText(const StoredRows& rows, std::size_t row) {
        const auto half = rowAs<float>();
        text_.resize(2 * half.size());
        source_.read(rows.drive, row, std::span(text_));
        const auto from = std::span(text_).subspan(rows.what == What::level ? 0 : half.size(), half.size());
        std::copy(from.begin(), from.end(), half.begin());
    }

    void fillTime(double sampleRateHz) {
        const auto times = rowAs<double>();
        for (std::size_t i = 0; i < times.size(); ++i) times[i] = static_cast<double>(i) / sampleRateHz;
    }

    const RunRecord& run_;
    CaptureSource& source_;
    const Skeleton& skeleton_;
    Appender out_;
    int structures_ = 0;
    std::vector<std::byte> row_;
    std::vector<float> text_;
};

void requireIntact(const OpenFile& file, const std::string& path) {
    const Seal seal = readSeal(file, path);
    requireSealedLength(file, seal, path);
    for (const SealEntry& entry : seal.entries)
        for (std::size_t row = 0; row < entry.rows.size(); ++row)
            if (!rowIsIntact(file, entry, row))
                throw Error(ErrorKind::output,
                            "was written, but reads back differently ('" + entry.name + "')", path,
                            "Do not trust this disk: write the run to another one");
}

}  // namespace

void writeSealedRun(const std::string& path, const RunRecord& run, CaptureSource& source, Files& files,
                    const std::string& temporaryName) {
    requireStorable(run);
    if (files.exists(path))
        throw Error(ErrorKind::output, "exists already", path,
                    "A run is never overwritten: choose another name, or move the file away");
    Skeleton skeleton;
    build(skeleton, run);
    try {
        TemporaryFile temporary(files, path, temporaryName);
        Seal seal = PieceWriter(temporary.file(), run, source, skeleton).write();
        temporary.file().writeAt(0, sealAsBytes(seal));
        temporary.file().sync();
        requireIntact(temporary.file(), path);
        const SealedRun opens(temporary.name(), files);
        temporary.becomeTheRun();
    } catch (const Error& error) {
        if (error.kind() != ErrorKind::output) throw;
        throw Error(ErrorKind::output, error.problem(), path, error.advice());  // not the temporary's name
    }
}

}  // namespace volvelle
