#pragma once

#include "Run/MemoryFiles.h"
#include "Run/RunFile.h"

#include <cstdint>
#include <string>

namespace volvelle::testing {

/// A small run of an invented unit: drives `front` (recordings: int32, microphone and loopback), `rear`
/// (impulse responses: float32) and `front+rear` (text responses), with everything stated somewhere and
/// something left out somewhere.
RunRecord inventedRun();

/// What of it version 1 of the format could hold.
RunRecord inventedRunOfVersion1();

/// One drive of recordings.
RunRecord plainRun(std::size_t captures, std::size_t channels, std::size_t samplesPerChannel);

/// The sample that InventedSource gives, the same in Tests/Run/check_with_h5py.py.
std::int32_t inventedSample(std::size_t drive, std::size_t capture, std::size_t index);
float inventedFloat(std::size_t drive, std::size_t capture, std::size_t index);

class InventedSource final : public CaptureSource {
public:
    void read(std::size_t drive, std::size_t capture, std::span<std::int32_t> out) override;
    void read(std::size_t drive, std::size_t capture, std::span<float> out) override;
};

/// Writes the run into memory under the name.
void writeInvented(Files& files, const std::string& path, const RunRecord& run);

/// What of two records differs first; empty where they are equal. Not a number equals not a number.
std::string firstDifference(const RunRecord& a, const RunRecord& b);

}  // namespace volvelle::testing
