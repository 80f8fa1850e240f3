#pragma once

#include "Run/Files.h"
#include "Run/ReadableRun.h"
#include "Run/RunRecord.h"

#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// Gives the samples of one capture while a run file is written, so that memory stays flat.
/// Recordings and impulses: channel after channel, samplesPerChannel each. Text responses: levels in dB, then
/// phases in degrees.
class CaptureSource {
public:
    virtual ~CaptureSource() = default;
    virtual void read(std::size_t drive, std::size_t capture,
                      std::span<std::int32_t> out) = 0;  ///< SampleType::int32
    virtual void read(std::size_t drive, std::size_t capture,
                      std::span<float> out) = 0;  ///< SampleType::float32
};

/// Writes a sealed run: temporary file beside `path`, synced, read back against its digests, renamed, folder
/// synced. Throws Error{output} if `path` exists or cannot be written; then nothing is left behind. The
/// temporary file has the given name, which nothing bears yet, or `path` with an ending.
void writeSealedRun(const std::string& path, const RunRecord& run, CaptureSource& source, Files& files,
                    const std::string& temporary = "");

/// What one piece of a run file is, and whether its digest agrees.
struct PieceReport {
    std::string name;  ///< "metadata", "drives/front/samples, capture 12 (front/horizontal:50/upright/1)"
    std::size_t offset, length;
    bool intact;
};

/// Reads every byte and holds it against the digests. Throws Error{damaged} where there is no usable seal
/// (cut, not ours, newer).
std::vector<PieceReport> verifyRun(const std::string& path, Files& files);

/// A sealed run, open for reading. Thread-safe: all methods are const and read with their own file position.
class SealedRun final : public ReadableRun {
public:
    /// Checks the seal and the metadata's digest before HDF5 parses a byte. Throws Error{input} for files
    /// that are not there or not a run, Error{damaged} for cut or changed ones, Error{input} for a newer
    /// format.
    explicit SealedRun(const std::string& path, Files& files);
    ~SealedRun() override;
    SealedRun(SealedRun&&) noexcept;

    const RunRecord& record() const override;
    const std::string& fingerprint() const override;  ///< of the seal
    const std::string& path() const override;

    /// The capture's digest is checked first.
    void readCapture(std::size_t drive, std::size_t capture, std::span<float> out) const override;
    void readAhead(std::size_t drive) const override;

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace volvelle
