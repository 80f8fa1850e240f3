#include "Ingest/Recording.h"

#include "Ingest/Container.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <fmt/format.h>
#include <sndfile.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <exception>
#include <filesystem>
#include <system_error>
#include <utility>
#include <vector>

namespace volvelle {

namespace {

constexpr double lowestRateHz = 44100, highestRateHz = 192000;
constexpr sf_count_t mostFrames = sf_count_t{1} << 27;  // over eleven minutes at 192 kHz
constexpr std::uint64_t mostFramesPerByte = 16384;
constexpr std::size_t valuesPerChunk = std::size_t{1} << 16;

/// Where libsndfile reads from. Its callbacks are C: what is thrown waits here until the call has returned.
struct Stream {
    std::unique_ptr<OpenFile> file;
    sf_count_t size = 0;
    sf_count_t position = 0;
    std::exception_ptr failure;
};

Stream& streamOf(void* user) {
    return *static_cast<Stream*>(user);
}

sf_count_t streamSize(void* user) {
    return streamOf(user).size;
}

sf_count_t streamSeek(sf_count_t offset, int from, void* user) {
    Stream& stream = streamOf(user);
    const sf_count_t base = from == SF_SEEK_SET   ? 0
                            : from == SF_SEEK_CUR ? stream.position
                                                  : streamSize(user);
    if ((offset > 0 && base > SF_COUNT_MAX - offset) || base + offset < 0) return -1;
    return stream.position = base + offset;
}

sf_count_t streamRead(void* out, sf_count_t count, void* user) {
    Stream& stream = streamOf(user);
    const sf_count_t there =
        std::clamp<sf_count_t>(streamSize(user) - stream.position, 0, std::max<sf_count_t>(count, 0));
    try {
        if (there > 0) {
            stream.file->readAt(static_cast<std::uint64_t>(stream.position),
                                std::span(static_cast<std::byte*>(out), static_cast<std::size_t>(there)));
        }
    } catch (...) {
        stream.failure = std::current_exception();
        return 0;
    }
    stream.position += there;
    return there;
}

sf_count_t streamWrite(const void*, sf_count_t, void*) {
    return 0;
}

sf_count_t streamTell(void* user) {
    return streamOf(user).position;
}

struct SampleFormat {
    int bits;
    bool isFloat;
};

/// 0 bits: not a lossless format of 16 bits or more. ALAC is among them: loud noise does not come back from
/// it bit for bit.
SampleFormat sampleFormat(int format) {
    switch (format & SF_FORMAT_SUBMASK) {
        case SF_FORMAT_PCM_16:
            return {16, false};
        case SF_FORMAT_PCM_24:
            return {24, false};
        case SF_FORMAT_PCM_32:
            return {32, false};
        case SF_FORMAT_FLOAT:
            return {32, true};
        case SF_FORMAT_DOUBLE:
            return {64, true};
        default:
            return {0, false};
    }
}

RecordingFormat checkedFormat(const SF_INFO& info, std::string container, std::uint64_t fileSize,
                              const std::string& where) {
    const SampleFormat samples = sampleFormat(info.format);
    if (samples.bits == 0) {
        throw Error(ErrorKind::input, "is stored in a lossy, compressed or 8-bit format", where,
                    "Give 16 to 32 bit integers or floating point, or FLAC");
    }
    if (info.samplerate < lowestRateHz || info.samplerate > highestRateHz) {
        throw Error(ErrorKind::input, fmt::format("has a sample rate of {} Hz", info.samplerate), where,
                    "Rates from 44100 to 192000 Hz are read");
    }
    if (info.channels < 1 || info.frames < 1) {
        throw Error(ErrorKind::input, "holds no samples", where, "Record it again");
    }
    if (info.frames > mostFrames) {
        throw Error(ErrorKind::input, fmt::format("claims {} samples per channel", info.frames), where,
                    fmt::format("At most {} are read", mostFrames));
    }
    // Even silence takes a FLAC file some bytes for each block of at most 65535 samples.
    if (static_cast<std::uint64_t>(info.frames) / mostFramesPerByte > fileSize) {
        throw Error(ErrorKind::input,
                    fmt::format("is cut or damaged: {} bytes cannot hold {} samples", fileSize, info.frames),
                    where, "Copy it again from its source, or record it again");
    }
    return {std::move(container), static_cast<double>(info.samplerate),
            info.channels,        static_cast<std::size_t>(info.frames),
            samples.bits,         samples.isFloat};
}

void requireFinite(std::span<const float> samples, int channel, const std::string& where) {
    const auto bad = std::find_if(samples.begin(), samples.end(), [](float x) { return !std::isfinite(x); });
    if (bad == samples.end()) return;
    throw Error(ErrorKind::input,
                fmt::format("sample {} of channel {} (counted from 0) is not a finite number",
                            bad - samples.begin(), channel),
                where, "Record it again, or export it again as integers");
}

}  // namespace

struct RecordingReader::State {
    std::string where;
    Stream stream;
    SNDFILE* handle = nullptr;
    RecordingFormat format;

    ~State() {
        if (handle != nullptr) sf_close(handle);
    }

    void rethrowReadFailure() const {
        if (stream.failure) std::rethrow_exception(stream.failure);
    }

    template <typename T>
    void decode(std::span<const int> channels, std::span<T> out,
                sf_count_t (*readFrames)(SNDFILE*, T*, sf_count_t));
};

template <typename T>
void RecordingReader::State::decode(std::span<const int> channels, std::span<T> out,
                                    sf_count_t (*readFrames)(SNDFILE*, T*, sf_count_t)) {
    for (const int channel : channels) requireChannel(format, channel, "what was asked for", where);
    if (out.size() != channels.size() * format.frames) {
        throw Error(ErrorKind::bug, "buffer of another length than the recording", where, "");
    }
    const auto width = static_cast<std::size_t>(format.channels);
    const std::size_t framesPerChunk = std::max<std::size_t>(1, valuesPerChunk / width);
    std::vector<T> chunk(framesPerChunk * width);
    sf_seek(handle, 0, SF_SEEK_SET);
    for (std::size_t done = 0; done < format.frames;) {
        const std::size_t wanted = std::min(framesPerChunk, format.frames - done);
        const sf_count_t got = readFrames(handle, chunk.data(), static_cast<sf_count_t>(wanted));
        rethrowReadFailure();
        for (std::size_t c = 0; c < channels.size(); ++c) {
            const T* in = chunk.data() + (channels[c] - 1);
            T* to = out.data() + c * format.frames + done;
            for (sf_count_t i = 0; i < got; ++i) to[i] = in[static_cast<std::size_t>(i) * width];
        }
        done += static_cast<std::size_t>(std::max<sf_count_t>(got, 0));
        if (got < static_cast<sf_count_t>(wanted)) {
            throw Error(ErrorKind::input,
                        fmt::format("is cut or damaged: {} samples are promised, {} can be decoded",
                                    format.frames, done),
                        where, "Copy it again from its source, or record it again");
        }
    }
}

RecordingReader::RecordingReader(std::unique_ptr<OpenFile> file, std::string where)
    : state_(std::make_unique<State>()) {
    State& s = *state_;
    s.where = std::move(where);
    s.stream.file = std::move(file);
    s.stream.size = static_cast<sf_count_t>(s.stream.file->size());
    std::string container = requireWholeContainer(*s.stream.file, s.where);
    SF_VIRTUAL_IO io{streamSize, streamSeek, streamRead, streamWrite, streamTell};
    SF_INFO info{};
    s.handle = sf_open_virtual(&io, SFM_READ, &info, &s.stream);
    s.rethrowReadFailure();
    if (s.handle == nullptr) {
        throw Error(ErrorKind::input, "cannot be decoded as " + container, s.where,
                    "Copy it again from its source, or record it again as WAV, RF64 or FLAC");
    }
    s.format = checkedFormat(info, std::move(container), static_cast<std::uint64_t>(s.stream.size), s.where);
}

RecordingReader::~RecordingReader() = default;
RecordingReader::RecordingReader(RecordingReader&&) noexcept = default;

const RecordingFormat& RecordingReader::format() const {
    return state_->format;
}
const std::string& RecordingReader::where() const {
    return state_->where;
}

void RecordingReader::read(std::span<const int> channels, std::span<std::int32_t> out) {
    if (state_->format.isFloat) {
        throw Error(ErrorKind::bug, "floating point recording read as integers", state_->where, "");
    }
    state_->decode<int>(channels, out, sf_readf_int);
}

void RecordingReader::read(std::span<const int> channels, std::span<float> out) {
    const std::size_t frames = state_->format.frames;
    if (!state_->format.isFloat) {
        std::vector<std::int32_t> raw(out.size());
        read(channels, raw);
        toFullScaleOne(raw, out);
        return;
    }
    state_->decode<float>(channels, out, sf_readf_float);
    for (std::size_t c = 0; c < channels.size(); ++c) {
        requireFinite(out.subspan(c * frames, frames), channels[c], state_->where);
    }
}

void refuseIrregularFile(const std::string& path, const std::string& where) {
    std::error_code ignored;
    const auto type = std::filesystem::status(path, ignored).type();
    if (type == std::filesystem::file_type::directory)
        throw Error(ErrorKind::input, "is a folder", where, "Name a file");
    if (std::filesystem::exists(std::filesystem::file_status(type)) &&
        type != std::filesystem::file_type::regular)
        throw Error(ErrorKind::input, "is not a regular file", where, "Name a file on a disk");
}

RecordingReader openRecording(const std::string& path, const Files& files, const std::string& where) {
    refuseIrregularFile(path, where);
    if (!files.exists(path)) {
        throw Error(ErrorKind::input, "is missing", where,
                    "Check its name; names in a manifest count from the manifest's folder");
    }
    return RecordingReader(files.openForReading(path), where);
}

void requireChannel(const RecordingFormat& format, int channel, const std::string& what,
                    const std::string& where) {
    if (channel >= 1 && channel <= format.channels) return;
    throw Error(ErrorKind::input,
                fmt::format("has {} channel{}, so channel {} ({}) is not there", format.channels,
                            format.channels == 1 ? "" : "s", channel, what),
                where, "Check the recording and the channel's number");
}

void toFullScaleOne(std::span<const std::int32_t> in, std::span<float> out) {
    std::transform(in.begin(), in.end(), out.begin(),
                   [](std::int32_t x) { return static_cast<float>(x) * 0x1p-31F; });
}

void requireSound(std::span<const float> samples, const std::string& what, const std::string& where) {
    if (samples.empty()) return;
    if (std::any_of(samples.begin(), samples.end(), [first = samples[0]](float x) { return x != first; }))
        return;
    throw Error(ErrorKind::input,
                fmt::format("{} is silent: all its {} samples are equal", what, samples.size()), where,
                "Check cables, gain and the channel, then record it again");
}

}  // namespace volvelle
