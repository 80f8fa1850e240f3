#pragma once

#include <span>
#include <string>

namespace volvelle {

/// Writes a new WAV file of 24 bits. channels: of equal length, samples at full scale 1.0. Throws
/// Error{output} where it exists or cannot be written, and for samples beyond full scale.
void writeWav24(const std::string& path, std::span<const std::span<const double>> channels, int sampleRateHz);

}  // namespace volvelle
