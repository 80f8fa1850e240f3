#include "Ingest/SoundFiles.h"

#include <gtest/gtest.h>
#include <sndfile.h>
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>
#include <stdexcept>

namespace volvelle::test {

TemporaryFolder::TemporaryFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "volvelle-ingest-XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr) throw std::runtime_error("no temporary folder");
    folder_ = name;
}

TemporaryFolder::~TemporaryFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(folder_, ignored);
}

std::map<std::string, std::string> TemporaryFolder::contents() const {
    std::map<std::string, std::string> all;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder_)) {
        all[entry.path().string()] = entry.is_regular_file() ? readBytes(entry.path().string()) : "";
    }
    return all;
}

void writeBytes(const std::string& path, const std::string& bytes) {
    std::filesystem::create_directories(std::filesystem::path(path).parent_path());
    std::ofstream out(path, std::ios::binary);
    out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    if (!out.flush()) throw std::runtime_error("cannot write " + path);
}

std::string readBytes(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

namespace {

template <typename T>
void write(const std::string& path, int format, int sampleRateHz, const std::vector<std::vector<T>>& channels,
           sf_count_t (*writeFrames)(SNDFILE*, const T*, sf_count_t)) {
    std::filesystem::create_directories(std::filesystem::path(path).parent_path());
    SF_INFO info{};
    info.format = format;
    info.samplerate = sampleRateHz;
    info.channels = static_cast<int>(channels.size());
    SNDFILE* file = sf_open(path.c_str(), SFM_WRITE, &info);
    if (file == nullptr) throw std::runtime_error(path + ": " + sf_strerror(nullptr));
    sf_command(file, SFC_SET_CLIPPING, nullptr, SF_TRUE);
    std::vector<T> interleaved;
    for (std::size_t i = 0; i < channels[0].size(); ++i) {
        for (const auto& channel : channels) interleaved.push_back(channel[i]);
    }
    const auto frames = static_cast<sf_count_t>(channels[0].size());
    const sf_count_t written = writeFrames(file, interleaved.data(), frames);
    sf_close(file);
    if (written != frames) throw std::runtime_error("cannot write " + path);
}

}  // namespace

void writeSound(const std::string& path, int format, int sampleRateHz, const Channels& channels) {
    const int coding = format & SF_FORMAT_SUBMASK;
    if (coding != SF_FORMAT_PCM_16 && coding != SF_FORMAT_PCM_24) {
        write<double>(path, format, sampleRateHz, channels, sf_writef_double);
        return;
    }
    // Rounded here: the library's own rounding is its affair.
    const int bits = coding == SF_FORMAT_PCM_16 ? 16 : 24;
    std::vector<std::vector<std::int32_t>> rounded(channels.size());
    for (std::size_t c = 0; c < channels.size(); ++c) {
        for (const double sample : channels[c]) rounded[c].push_back(leftJustified(sample, bits));
    }
    writeSound(path, format, sampleRateHz, rounded);
}

void writeSound(const std::string& path, int format, int sampleRateHz,
                const std::vector<std::vector<std::int32_t>>& channels) {
    write<int>(path, format, sampleRateHz, channels, sf_writef_int);
}

std::int32_t leftJustified(double sample, int bits) {
    const double steps = std::ldexp(1.0, bits - 1);
    const double rounded = std::clamp(std::nearbyint(sample * steps), -steps, steps - 1);
    return static_cast<std::int32_t>(std::ldexp(rounded, 32 - bits));
}

std::vector<double> noise(std::size_t samples, std::uint32_t seed) {
    std::vector<double> out(samples);
    for (double& sample : out) {
        seed = seed * 1664525U + 1013904223U;
        sample = (seed >> 8U) / 16777216.0 - 0.5;
    }
    return out;
}

Error errorOf(const std::function<void()>& call) {
    try {
        call();
    } catch (const Error& error) {
        return error;
    }
    ADD_FAILURE() << "no error was thrown";
    return Error(ErrorKind::bug, "none", "", "");
}

}  // namespace volvelle::test
