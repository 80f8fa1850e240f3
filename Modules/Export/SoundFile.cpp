#include "Export/SoundFile.h"

#include "Text/Error.h"

#include <sndfile.h>

#include <cmath>
#include <filesystem>
#include <memory>
#include <vector>

namespace volvelle {

void writeWav24(const std::string& path, std::span<const std::span<const double>> channels,
                int sampleRateHz) {
    if (std::filesystem::exists(path))
        throw Error(ErrorKind::output, "exists already", path, "Choose another name");
    if (channels.empty()) throw Error(ErrorKind::bug, "a sound file without channels", path, "");
    const std::size_t frames = channels.front().size();
    std::vector<int> interleaved;
    interleaved.reserve(frames * channels.size());
    for (std::size_t n = 0; n < frames; ++n)
        for (const auto& channel : channels) {
            const double scaled = std::round(channel[n] * 0x1p23);
            if (!(std::abs(scaled) < 0x1p23))
                throw Error(ErrorKind::output, "a sample is beyond full scale", path, "Lower the level");
            interleaved.push_back(static_cast<int>(scaled) * 256);
        }
    SF_INFO info{};
    info.samplerate = sampleRateHz;
    info.channels = static_cast<int>(channels.size());
    info.format = SF_FORMAT_WAV | SF_FORMAT_PCM_24;
    const std::unique_ptr<SNDFILE, int (*)(SNDFILE*)> file(sf_open(path.c_str(), SFM_WRITE, &info), sf_close);
    const auto count = static_cast<sf_count_t>(frames);
    if (!file || sf_writef_int(file.get(), interleaved.data(), count) != count)
        throw Error(ErrorKind::output, "cannot be written", path,
                    "Check the folder and the room on the disk");
}

}  // namespace volvelle
