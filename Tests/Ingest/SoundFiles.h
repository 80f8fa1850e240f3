#pragma once

#include "Text/Error.h"

#include <cstdint>
#include <filesystem>
#include <functional>
#include <map>
#include <string>
#include <vector>

namespace volvelle::test {

/// A folder of its own for one test, gone afterwards.
class TemporaryFolder {
public:
    TemporaryFolder();
    ~TemporaryFolder();
    TemporaryFolder(const TemporaryFolder&) = delete;
    TemporaryFolder& operator=(const TemporaryFolder&) = delete;

    std::string path(const std::string& name) const { return (folder_ / name).string(); }
    /// Every name below the folder and the bytes of each file: compares what was with what is.
    std::map<std::string, std::string> contents() const;

private:
    std::filesystem::path folder_;
};

void writeBytes(const std::string& path, const std::string& bytes);
std::string readBytes(const std::string& path);

using Channels = std::vector<std::vector<double>>;  ///< channel, sample; full scale 1.0

/// Writes a sound file; format is libsndfile's (SF_FORMAT_WAV | SF_FORMAT_PCM_24).
void writeSound(const std::string& path, int format, int sampleRateHz, const Channels& channels);
/// The same from left-justified integers.
void writeSound(const std::string& path, int format, int sampleRateHz,
                const std::vector<std::vector<std::int32_t>>& channels);

/// The sample rounded to so many bits, in the upper bits of 32.
std::int32_t leftJustified(double sample, int bits);

/// Reproducible noise within -0.5 ... 0.5.
std::vector<double> noise(std::size_t samples, std::uint32_t seed);

/// The Error that the call throws; fails the test where it throws none.
Error errorOf(const std::function<void()>& call);

}  // namespace volvelle::test
