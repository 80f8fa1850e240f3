#include "Run/PartFile.h"

#include "Run/CaptureColumns.h"
#include "Run/CheckedRows.h"
#include "Run/FormatError.h"
#include "Run/Hdf5.h"
#include "Run/RunLayout.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <memory>
#include <utility>

namespace volvelle {

namespace {

constexpr const char* samplesName = "samples";

// ---- images

/// A part while it is made: HDF5 has described it, the rows of samples are not filled in yet.
struct Image {
    std::vector<std::byte> bytes;
    std::uint32_t userBlock;
    std::vector<StoredRows> rows;  ///< in the order of the file

    /// Fills the row in, which need not lie where numbers of its kind may lie in memory.
    template <typename T>
    void put(const StoredRows& stored, const std::vector<T>& values) {
        if (values.size() * sizeof(T) != stored.rowLength)
            throw Error(ErrorKind::bug, "has a row of another length", stored.name, "Report this");
        std::memcpy(bytes.data() + stored.offset, values.data(), stored.rowLength);
    }
};

template <typename Describe>
Image makeImage(std::uint32_t userBlock, Describe describe) {
    ScatteredBytes scattered;
    Hdf5File file = Hdf5File::create(scattered, userBlock, "part");
    Image image{{}, userBlock, describe(file)};
    file.close();
    image.bytes.resize(scattered.length);
    scattered.read(0, image.bytes);
    return image;
}

/// Digests what is there now and puts the seal in front of it.
Seal sealImage(Image& image) {
    Seal seal;
    seal.userBlock = image.userBlock;
    seal.fileLength = image.bytes.size();
    std::uint64_t at = image.userBlock;
    int structures = 0;
    const auto add = [&](SealEntry::Kind kind, const std::string& name, std::uint64_t end) {
        if (end == at) return;
        const Digest digest = sha256(std::span(image.bytes).subspan(at, end - at));
        seal.entries.push_back({kind, name, at, end - at, {digest}});
        at = end;
    };
    const auto addStructure = [&](std::uint64_t end) {
        if (end != at) add(SealEntry::Kind::structure, "metadata " + fixedText(++structures, 0), end);
    };
    for (const StoredRows& rows : image.rows) {
        addStructure(rows.offset);
        add(SealEntry::Kind::samples, rows.name, rows.offset + rows.rowLength);
    }
    addStructure(seal.fileLength);
    const std::vector<std::byte> userBlock = sealAsBytes(seal);
    std::copy(userBlock.begin(), userBlock.end(), image.bytes.begin());
    return seal;
}

/// What every part says of itself.
void writeFormat(const Hdf5Group& root, const char* format) {
    root.setAttribute("format", format);
    root.setAttribute("format_version", static_cast<std::int32_t>(runFormatVersion));
}

/// Nearest integers; beyond full scale the largest.
std::vector<std::int32_t> asIntegers(std::span<const float> samples, const std::string& capture) {
    constexpr double most = std::numeric_limits<std::int32_t>::max(),
                     least = std::numeric_limits<std::int32_t>::min();
    std::vector<std::int32_t> out;
    out.reserve(samples.size());
    for (const float sample : samples) {
        const double scaled = std::nearbyint(static_cast<double>(sample) * 0x1p31);
        if (std::isnan(scaled))
            throw Error(ErrorKind::output, "has samples that are no numbers", capture, "Capture it again");
        out.push_back(static_cast<std::int32_t>(std::clamp(scaled, least, most)));
    }
    return out;
}

StoredRows reserveSamples(const Hdf5Group& root, const DriveRecord& drive) {
    const bool isInteger = drive.sampleType == SampleType::int32;
    const Hdf5Extent extent =
        root.reserve(samplesName, isInteger ? Hdf5Number::int32 : Hdf5Number::float32,
                     {drive.channelRoles.size(), drive.samplesPerChannel}, "1");
    root.setAttributeOf(samplesName, "full_scale", isInteger ? 0x1p31 : 1.0);
    return {StoredRows::What::samples,
            0,
            samplesName,
            extent.offset,
            drive.channelRoles.size() * drive.samplesPerChannel * sizeof(float),
            1};
}

// ---- reading

/// A part that is open, what HDF5 parses of it being intact.
class Part {
public:
    Part(const std::string& path, const Files& files)
        : path_(path),
          file_(files.openForReading(path)),
          seal_(readSeal(*file_, path)),
          bytes_(checkedBytes()),
          hdf5_(Hdf5File::open(bytes_, path)) {}

    const Hdf5File& hdf5() const { return hdf5_; }
    const Hdf5Group& root() const { return hdf5_.root(); }
    const Seal& seal() const { return seal_; }
    const OpenFile& file() const { return *file_; }

    void requireFormat(const char* format) const {
        if (root().attributeText("format") == format) return;
        throw Error(ErrorKind::input, std::string("is not a ") + format, path_,
                    "It was not made under this name: remove it from the folder");
    }

private:
    CheckedBytes checkedBytes() const {
        requireSealedLength(*file_, seal_, path_);
        return readCheckedBytes(*file_, seal_, path_);
    }

    std::string path_;
    std::unique_ptr<OpenFile> file_;
    Seal seal_;
    CheckedBytes bytes_;
    Hdf5File hdf5_;
};

SealEntry samplesEntry(const Part& part, const std::string& path) {
    const Hdf5Extent extent = part.root().extent(samplesName);
    if (extent.dims.size() != 2 || extent.type == Hdf5Number::float64)
        failFormat(path, "dataset 'samples' has another shape or type");
    const StoredRows rows{StoredRows::What::samples,
                          0,
                          samplesName,
                          extent.offset,
                          extent.dims[0] * extent.dims[1] * sizeof(float),
                          1};
    return entryOf(rows, part.seal(), path);
}

}  // namespace

std::vector<std::byte> headImage(const RunRecord& head) {
    requireStorableHead(head);
    Image image = makeImage(userBlockFor(head),
                            [&](const Hdf5File& file) { return writeHeadStructure(file, head); });
    for (const StoredRows& rows : image.rows) {
        const ExcitationRecord& excitation = head.drives[rows.drive].excitation;
        std::vector<double> times(excitation.samples.size());
        for (std::size_t i = 0; i < times.size(); ++i)
            times[i] = static_cast<double>(i) / excitation.sampleRateHz;
        if (rows.what == StoredRows::What::excitation)
            image.put(rows, excitation.samples);
        else
            image.put(rows, times);
    }
    sealImage(image);
    return std::move(image.bytes);
}

RunRecord readHead(const std::string& path, const Files& files) {
    const Part part(path, files);
    part.requireFormat(headFormatName);
    Structure structure = readHeadStructure(part.hdf5(), path);
    for (const StoredRows& rows : structure.rows) {
        if (rows.what != StoredRows::What::excitation) continue;
        auto& samples = structure.record.drives[rows.drive].excitation.samples;
        samples.resize(rows.rowLength / sizeof(float));
        readCheckedRow(part.file(), entryOf(rows, part.seal(), path), 0,
                       std::as_writable_bytes(std::span(samples)), path + ": " + rows.name);
    }
    return std::move(structure.record);
}

CaptureImage captureImage(const DriveRecord& drive, const Capture& capture, std::span<const float> samples) {
    if (samples.size() != drive.channelRoles.size() * drive.samplesPerChannel)
        throw Error(ErrorKind::bug, "has another number of samples than its drive's captures", capture.id,
                    "Report this");
    Image image = makeImage(userBlockFor(std::vector<SealEntry>()), [&](const Hdf5File& file) {
        writeFormat(file.root(), captureFormatName);
        file.root().setAttribute("drive", drive.name);
        writeCaptureRow(file.root(), capture);
        return std::vector{reserveSamples(file.root(), drive)};
    });
    const StoredRows& rows = image.rows.front();
    if (drive.sampleType == SampleType::int32)
        image.put(rows, asIntegers(samples, capture.id));
    else
        image.put(rows, std::vector<float>(samples.begin(), samples.end()));
    const Seal seal = sealImage(image);
    return {std::move(image.bytes), {{}, entryOf(rows, seal, capture.id)}};
}

CapturePart readCapturePart(const std::string& path, const Files& files) {
    const Part part(path, files);
    part.requireFormat(captureFormatName);
    return {part.root().attributeText("drive"), readCaptureRow(part.root(), path), {{}, samplesEntry(part, path)}};
}

std::vector<std::byte> eventImage(const Event& event) {
    Image image = makeImage(userBlockFor(std::vector<SealEntry>()), [&](const Hdf5File& file) {
        writeFormat(file.root(), eventFormatName);
        file.root().writeText("event_utc", event.utc);
        file.root().writeText("event", event.text);
        return std::vector<StoredRows>();
    });
    sealImage(image);
    return std::move(image.bytes);
}

Event readEventPart(const std::string& path, const Files& files) {
    const Part part(path, files);
    part.requireFormat(eventFormatName);
    return {part.root().text("event_utc"), part.root().text("event")};
}

bool isIntact(const std::string& path, const Files& files) {
    const auto file = files.openForReading(path);
    try {
        const Seal seal = readSeal(*file, path);
        requireSealedLength(*file, seal, path);
        return std::all_of(seal.entries.begin(), seal.entries.end(), [&](const SealEntry& entry) {
            for (std::size_t row = 0; row < entry.rows.size(); ++row)
                if (!rowIsIntact(*file, entry, row)) return false;
            return true;
        });
    } catch (const Error& error) {
        if (error.kind() == ErrorKind::damaged) return false;
        throw;
    }
}

}  // namespace volvelle
