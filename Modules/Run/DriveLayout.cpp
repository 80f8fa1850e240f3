#include "Run/DriveLayout.h"

#include "Run/CaptureColumns.h"
#include "Run/FormatError.h"
#include "Run/RunNames.h"
#include "Text/Error.h"

#include <functional>
#include <numeric>
#include <utility>

namespace volvelle {

namespace {

using What = StoredRows::What;

std::uint64_t bytesOf(Hdf5Number type) {
    return type == Hdf5Number::float64 ? 8 : 4;
}

StoredRows storedRows(What what, std::size_t drive, const std::string& name, const Hdf5Extent& extent) {
    StoredRows rows{what, drive, name, extent.offset, 0, 1};
    const auto isPerCapture = rows.isPerCapture();
    if (isPerCapture && !extent.dims.empty()) rows.rows = extent.dims.front();
    rows.rowLength = std::accumulate(extent.dims.begin() + (isPerCapture && !extent.dims.empty() ? 1 : 0),
                                     extent.dims.end(), bytesOf(extent.type), std::multiplies<>());
    return rows;
}

/// Writes one drive's group.
class DriveWriter {
public:
    DriveWriter(const Hdf5Group& group, const DriveRecord& drive, std::size_t index)
        : group_(group), drive_(drive), index_(index) {}

    void writeHead() const {
        writeAttributes();
        group_.setAttribute("samples_per_channel", static_cast<std::int32_t>(drive_.samplesPerChannel));
        group_.setAttribute("sample_type", wordFor(drive_.sampleType));
        group_.writeTexts("channel", drive_.channelRoles);
        group_.makeScale("channel", "channels");
    }

    std::vector<StoredRows> reserveHeadRows() const {
        std::vector<StoredRows> rows;
        if (!drive_.excitation.samples.empty()) reserveExcitation(rows);
        return rows;
    }

    void writeTables(const Hdf5Group& root) const {
        writeAttributes();
        writeCaptureColumns(group_, drive_.captures, root, "octave_band");
        if (!drive_.channelRoles.empty()) {
            group_.writeTexts("channel", drive_.channelRoles);
            group_.makeScale("channel", "channels");
        }
        if (!drive_.frequencyHz.empty()) {
            group_.writeNumbers("frequency", drive_.frequencyHz, {drive_.frequencyHz.size()}, "Hz");
            group_.makeScale("frequency", "frequency");
        }
    }

    std::vector<StoredRows> reserveRows() const {
        std::vector<StoredRows> rows;
        if (drive_.form == CaptureForm::textResponse)
            reserveText(rows);
        else
            reserveSamples(rows);
        if (!drive_.excitation.samples.empty()) reserveExcitation(rows);
        return rows;
    }

private:
    void writeAttributes() const {
        group_.setAttribute("form", wordFor(drive_.form));
        group_.setAttribute("sample_rate_hz", drive_.sampleRateHz);
        group_.setAttribute("bits_per_sample", static_cast<std::int32_t>(drive_.bitsPerSample));
        group_.setAttribute("excitation_sample_rate_hz", drive_.excitation.sampleRateHz);
        group_.setAttribute("excitation_source_file", drive_.excitation.sourceFile);
    }

    void reserve(std::vector<StoredRows>& rows, What what, const std::string& name, Hdf5Number type,
                 const std::vector<std::uint64_t>& dims, const std::string& units) const {
        const Hdf5Extent extent = group_.reserve(name, type, dims, units);
        rows.push_back(storedRows(what, index_, "drives/" + drive_.name + "/" + name, extent));
    }

    void reserveText(std::vector<StoredRows>& rows) const {
        const std::vector<std::uint64_t> dims{drive_.captures.size(), drive_.samplesPerChannel};
        reserve(rows, What::level, "level", Hdf5Number::float32, dims, "dB re 20 uPa");
        reserve(rows, What::phase, "phase", Hdf5Number::float32, dims, "deg");
        for (const std::string name : {"level", "phase"}) {
            group_.attachScale(name, 0, group_, "id");
            group_.attachScale(name, 1, group_, "frequency");
        }
    }

    void reserveSamples(std::vector<StoredRows>& rows) const {
        const bool isInteger = drive_.sampleType == SampleType::int32;
        reserve(rows, What::time, "time", Hdf5Number::float64, {drive_.samplesPerChannel}, "s");
        group_.makeScale("time", "time");
        reserve(rows, What::samples, "samples", isInteger ? Hdf5Number::int32 : Hdf5Number::float32,
                {drive_.captures.size(), drive_.channelRoles.size(), drive_.samplesPerChannel}, "1");
        group_.setAttributeOf("samples", "full_scale", isInteger ? 0x1p31 : 1.0);
        group_.attachScale("samples", 0, group_, "id");
        group_.attachScale("samples", 1, group_, "channel");
        group_.attachScale("samples", 2, group_, "time");
    }

    void reserveExcitation(std::vector<StoredRows>& rows) const {
        const std::uint64_t length = drive_.excitation.samples.size();
        reserve(rows, What::excitationTime, "excitation_time", Hdf5Number::float64, {length}, "s");
        group_.makeScale("excitation_time", "time");
        reserve(rows, What::excitation, "excitation", Hdf5Number::float32, {length}, "1");
        group_.setAttributeOf("excitation", "full_scale", 1.0);
        group_.attachScale("excitation", 0, group_, "excitation_time");
    }

    const Hdf5Group& group_;
    const DriveRecord& drive_;
    std::size_t index_;
};

/// Reads one drive's group; checks that the numbers of captures, channels and samples agree.
class DriveReader {
public:
    DriveReader(const Hdf5Group& group, const std::string& name, std::size_t index, const std::string& path)
        : group_(group), index_(index), where_(path + ": drives/" + name) {
        drive_.name = name;
    }

    DriveRecord readHead(std::vector<StoredRows>& rows) {
        readAttributes();
        drive_.channelRoles = group_.texts("channel");
        drive_.sampleType = attributeWord<SampleType>(group_, "sample_type", where_);
        const std::int32_t samples = group_.attributeInteger("samples_per_channel");
        if (samples <= 0) failFormat(where_, "captures have no samples");
        drive_.samplesPerChannel = static_cast<std::size_t>(samples);
        readExcitation(rows);
        return std::move(drive_);
    }

    DriveRecord read(std::vector<StoredRows>& rows) {
        readAttributes();
        drive_.captures = readCaptureColumns(group_, where_);
        if (group_.has("channel")) drive_.channelRoles = group_.texts("channel");
        if (drive_.form == CaptureForm::textResponse)
            readText(rows);
        else
            readSamples(rows);
        readExcitation(rows);
        return std::move(drive_);
    }

private:
    void readAttributes() {
        drive_.form = attributeWord<CaptureForm>(group_, "form", where_);
        drive_.sampleRateHz = group_.attributeNumber("sample_rate_hz");
        drive_.bitsPerSample = group_.attributeInteger("bits_per_sample");
        drive_.excitation.sampleRateHz = group_.attributeNumber("excitation_sample_rate_hz");
        drive_.excitation.sourceFile = group_.attributeText("excitation_source_file");
    }

    void readExcitation(std::vector<StoredRows>& rows) {
        if (!group_.has("excitation")) return;
        readExtent(rows, What::excitationTime, "excitation_time", 1);
        readExtent(rows, What::excitation, "excitation", 1);
    }

    Hdf5Extent readExtent(std::vector<StoredRows>& rows, What what, const std::string& name,
                          std::size_t rank) {
        Hdf5Extent extent = group_.extent(name);
        if (extent.dims.size() != rank) failFormat(where_, "dataset '" + name + "' has another shape");
        rows.push_back(storedRows(what, index_, "drives/" + drive_.name + "/" + name, extent));
        if (rows.back().isPerCapture() && rows.back().rows != drive_.captures.size())
            failFormat(where_, "dataset '" + name + "' has another length than 'id'");
        return extent;
    }

    void readText(std::vector<StoredRows>& rows) {
        drive_.sampleType = SampleType::float32;
        drive_.frequencyHz = group_.numbers("frequency");
        drive_.samplesPerChannel = drive_.frequencyHz.size();
        for (const auto& [what, name] : {std::pair(What::level, "level"), std::pair(What::phase, "phase")}) {
            const Hdf5Extent extent = readExtent(rows, what, name, 2);
            if (extent.dims[1] != drive_.samplesPerChannel || extent.type != Hdf5Number::float32)
                failFormat(where_, std::string("dataset '") + name + "' does not fit 'frequency'");
        }
    }

    void readSamples(std::vector<StoredRows>& rows) {
        readExtent(rows, What::time, "time", 1);
        const Hdf5Extent extent = readExtent(rows, What::samples, "samples", 3);
        if (extent.dims[1] != drive_.channelRoles.size() || extent.type == Hdf5Number::float64)
            failFormat(where_, "dataset 'samples' does not fit 'channel'");
        drive_.samplesPerChannel = extent.dims[2];
        drive_.sampleType = extent.type == Hdf5Number::int32 ? SampleType::int32 : SampleType::float32;
    }

    const Hdf5Group& group_;
    std::size_t index_;
    std::string where_;
    DriveRecord drive_;
};

}  // namespace

void writeDriveTables(const Hdf5Group& root, const Hdf5Group& group, const DriveRecord& drive) {
    DriveWriter(group, drive, 0).writeTables(root);
}

std::vector<StoredRows> reserveDriveRows(const Hdf5Group& group, const DriveRecord& drive,
                                         std::size_t index) {
    return DriveWriter(group, drive, index).reserveRows();
}

void writeDriveHead(const Hdf5Group& group, const DriveRecord& drive) {
    DriveWriter(group, drive, 0).writeHead();
}

std::vector<StoredRows> reserveHeadRows(const Hdf5Group& group, const DriveRecord& drive, std::size_t index) {
    return DriveWriter(group, drive, index).reserveHeadRows();
}

DriveRecord readDriveHead(const Hdf5Group& group, const std::string& name, std::size_t index,
                          const std::string& path, std::vector<StoredRows>& rows) {
    return DriveReader(group, name, index, path).readHead(rows);
}

DriveRecord readDrive(const Hdf5Group& group, const std::string& name, std::size_t index,
                      const std::string& path, std::vector<StoredRows>& rows) {
    return DriveReader(group, name, index, path).read(rows);
}

}  // namespace volvelle
