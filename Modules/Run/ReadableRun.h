#pragma once

#include "Run/RunRecord.h"

#include <cstddef>
#include <span>
#include <string>

namespace volvelle {

/// A run whose captures can be read, wherever they lie: in a sealed file (SealedRun), in memory. All methods
/// are thread-safe.
class ReadableRun {
public:
    virtual ~ReadableRun() = default;

    virtual const RunRecord& record() const = 0;
    virtual const std::string& fingerprint() const = 0;  ///< SHA-256, hexadecimal; empty where there is none
    virtual const std::string& path() const = 0;

    /// Samples of one capture scaled to full scale 1.0, channel after channel (channels · samplesPerChannel
    /// values); text responses as they are. Throws Error{damaged} naming the capture where it is not what was
    /// sealed.
    virtual void readCapture(std::size_t drive, std::size_t capture, std::span<float> out) const = 0;

    /// Asks the system to read this drive's captures ahead; may do nothing.
    virtual void readAhead(std::size_t drive) const = 0;

protected:
    ReadableRun() = default;
    ReadableRun(const ReadableRun&) = default;
    ReadableRun& operator=(const ReadableRun&) = default;
};

}  // namespace volvelle
