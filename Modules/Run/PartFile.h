#pragma once

#include "Run/Files.h"
#include "Run/RunRecord.h"
#include "Run/Seal.h"

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

// The parts of a run under way: small HDF5 files behind the same seal as a run's, made in memory as a whole.
// Docs/run-file.md describes them. Reading throws Error{input} for what is not there or no such part,
// Error{damaged} for what does not agree with its digests.

/// The head: the run without captures and events. Throws as requireStorableHead.
std::vector<std::byte> headImage(const RunRecord& head);
RunRecord readHead(const std::string& path, const Files& files);

/// Where the samples of one capture lie in its part.
struct PartSamples {
    std::string part;  ///< the file's name within the folder
    SealEntry entry;   ///< of one row
};

/// One capture of a drive; `samples` are channel after channel, at full scale 1.0.
struct CaptureImage {
    std::vector<std::byte> bytes;
    PartSamples samples;  ///< its part is for the caller to name
};
CaptureImage captureImage(const DriveRecord& drive, const Capture& capture, std::span<const float> samples);

struct CapturePart {
    std::string drive;
    Capture capture;
    PartSamples samples;
};
CapturePart readCapturePart(const std::string& path, const Files& files);

std::vector<std::byte> eventImage(const Event& event);
Event readEventPart(const std::string& path, const Files& files);

/// Reads every byte of a sealed file and holds it against its digests.
bool isIntact(const std::string& path, const Files& files);

}  // namespace volvelle
