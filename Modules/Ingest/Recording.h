#pragma once

#include "Run/Files.h"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>

namespace volvelle {

/// What a sound file is.
struct RecordingFormat {
    std::string container;    ///< "WAV", "RF64", "FLAC", "AIFF", "W64", "CAF", "AU"
    double sampleRateHz = 0;  ///< 44100 ... 192000
    int channels = 0;
    std::size_t frames = 0;  ///< samples per channel
    int bitsPerSample = 0;   ///< 16 ... 32, 64 for double precision
    bool isFloat = false;
};

/// Decodes a lossless sound file: 16 to 32 bit integers, 32 and 64 bit floating point, 44.1 to 192 kHz.
/// Used by one thread; several readers may run at once. All errors are Error{input} at `where`.
class RecordingReader {
public:
    /// Throws for files that are empty, cut, no sound file, of a lossy or 8-bit format, or of a rate that is
    /// not read.
    RecordingReader(std::unique_ptr<OpenFile> file, std::string where);
    ~RecordingReader();
    RecordingReader(RecordingReader&&) noexcept;

    const RecordingFormat& format() const;
    const std::string& where() const;

    /// Decodes the whole file into `out`: the named channels (from 1 on), one after the other, frames values
    /// each (out.size() = channels.size() · frames). Integers are left-justified: full scale is 2^31 whatever
    /// the bits, exact. Throws where a channel is not there, and where fewer samples can be decoded than the
    /// header promises.
    void read(std::span<const int> channels, std::span<std::int32_t> out);  ///< integer files only
    /// The same, full scale 1.0; integers are exact up to 24 bit. Throws also for NaN and infinity, naming
    /// the sample.
    void read(std::span<const int> channels, std::span<float> out);

private:
    struct State;
    std::unique_ptr<State> state_;
};

/// Throws Error{input} at `where` for a folder, a pipe, a device; not for a path where there is nothing.
void refuseIrregularFile(const std::string& path, const std::string& where);

/// Opens the file at `path`. Throws Error{input} at `where` where it is missing, a folder, or no regular
/// file.
RecordingReader openRecording(const std::string& path, const Files& files, const std::string& where);

/// Throws Error{input} that names the channel (from 1 on) where it is not in the file. `what` says what it is
/// for.
void requireChannel(const RecordingFormat& format, int channel, const std::string& what,
                    const std::string& where);

/// Left-justified integers to full scale 1.0.
void toFullScaleOne(std::span<const std::int32_t> in, std::span<float> out);

/// Throws Error{input} where all samples are equal (a cable that was not plugged in). `what`: "the
/// microphone's channel".
void requireSound(std::span<const float> samples, const std::string& what, const std::string& where);

}  // namespace volvelle
