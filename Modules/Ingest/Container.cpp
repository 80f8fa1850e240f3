#include "Ingest/Container.h"

#include "Text/Error.h"

#include <fmt/format.h>

#include <array>
#include <cstdint>
#include <cstring>
#include <optional>
#include <string_view>

namespace volvelle {

namespace {

constexpr std::uint32_t lengthUnknown32 = 0xFFFFFFFFU;
constexpr std::uint64_t lengthUnknown64 = ~std::uint64_t{0};
constexpr int mostChunks = 4096;  // a sound file has a handful; more is a file made to keep us busy

/// How a family of files lays out its chunks.
struct Layout {
    std::uint64_t firstChunk;  ///< offset
    std::size_t idBytes, sizeBytes;
    bool bigEndian;
    bool sizeCountsHeader;
    std::uint64_t alignment;
    std::string_view samplesId;  ///< begin of the identifier of the chunk with the samples
};

constexpr Layout riff{12, 4, 4, false, false, 2, "data"};
constexpr Layout riffBigEndian{12, 4, 4, true, false, 2, "data"};
constexpr Layout aiff{12, 4, 4, true, false, 2, "SSND"};
constexpr Layout w64{40, 16, 8, false, true, 8, "data"};
constexpr Layout caf{8, 4, 8, true, false, 1, "data"};

struct Samples {
    std::uint64_t offset, promised;
};

std::uint64_t numberAt(const OpenFile& file, std::uint64_t offset, std::size_t bytes, bool bigEndian) {
    std::array<std::byte, 8> raw{};
    file.readAt(offset, std::span(raw).first(bytes));
    std::uint64_t value = 0;
    for (std::size_t i = 0; i < bytes; ++i) {
        const std::size_t at = bigEndian ? i : bytes - 1 - i;
        value = value << 8U | std::to_integer<std::uint64_t>(raw[at]);
    }
    return value;
}

std::string textAt(const OpenFile& file, std::uint64_t offset, std::size_t bytes) {
    if (offset + bytes > file.size()) return {};
    std::string text(bytes, '\0');
    file.readAt(offset, std::as_writable_bytes(std::span(text)));
    return text;
}

/// Walks to the chunk with the samples; nothing where the file ends before it.
std::optional<Samples> findSamples(const OpenFile& file, const Layout& layout) {
    const std::uint64_t header = layout.idBytes + layout.sizeBytes;
    std::uint64_t length64 = lengthUnknown64;  // of an RF64 file's samples, from its ds64 chunk
    std::uint64_t at = layout.firstChunk;
    for (int chunk = 0; chunk < mostChunks && at + header <= file.size(); ++chunk) {
        const std::string id = textAt(file, at, layout.idBytes);
        std::uint64_t length = numberAt(file, at + layout.idBytes, layout.sizeBytes, layout.bigEndian);
        if (layout.sizeCountsHeader) length = length < header ? 0 : length - header;
        const std::uint64_t body = at + header;
        if (id.starts_with(layout.samplesId)) {
            const bool in64 = layout.sizeBytes == 4 && length == lengthUnknown32;
            return Samples{body, in64 ? length64 : length};
        }
        if (id == "ds64" && length >= 16 && body + 16 <= file.size()) {
            length64 = numberAt(file, body + 8, 8, layout.bigEndian);
        }
        if (length > file.size()) return std::nullopt;
        at = body + (length + layout.alignment - 1) / layout.alignment * layout.alignment;
    }
    return std::nullopt;
}

Error cut(const std::string& what, const std::string& where) {
    return Error(ErrorKind::input, "is cut: " + what, where,
                 "Copy it again from its source, or record it again");
}

void requireSamples(const OpenFile& file, const std::optional<Samples>& samples, const std::string& where) {
    if (!samples) throw cut("it ends before its samples begin", where);
    const std::uint64_t present = file.size() - samples->offset;
    if (samples->promised == lengthUnknown64) {
        throw cut("its recorder never wrote its length into the header", where);
    }
    if (samples->promised > present) {
        throw cut(
            fmt::format("its header promises {} bytes of samples, {} are there", samples->promised, present),
            where);
    }
    if (samples->promised == 0) {
        if (present > 1) throw cut("its recorder never wrote its length into the header", where);
        throw Error(ErrorKind::input, "holds no samples", where, "Record it again");
    }
}

/// CAF and AU may leave their length open: then everything to the end counts.
Samples withOpenLength(Samples samples, std::uint64_t unknown, std::uint64_t fileSize) {
    if (samples.promised == unknown) samples.promised = fileSize - samples.offset;
    return samples;
}

std::optional<Samples> samplesOfAu(const OpenFile& file) {
    if (file.size() < 24) return std::nullopt;
    const Samples samples{numberAt(file, 4, 4, true), numberAt(file, 8, 4, true)};
    if (samples.offset > file.size()) return std::nullopt;
    return withOpenLength(samples, lengthUnknown32, file.size());
}

}  // namespace

std::string requireWholeContainer(const OpenFile& file, const std::string& where) {
    if (file.size() == 0) throw Error(ErrorKind::input, "is empty", where, "Record it again");
    const std::string magic = textAt(file, 0, 4);
    const std::string form = textAt(file, 8, 4);
    const auto check = [&](const std::string& name, const std::optional<Samples>& samples) {
        requireSamples(file, samples, where);
        return name;
    };
    if (magic == "fLaC") return "FLAC";
    if (magic == "RIFF" && form == "WAVE") return check("WAV", findSamples(file, riff));
    if (magic == "RIFX" && form == "WAVE") return check("WAV", findSamples(file, riffBigEndian));
    if (magic == "RF64" && form == "WAVE") return check("RF64", findSamples(file, riff));
    if (magic == "FORM" && form.starts_with("AIF")) return check("AIFF", findSamples(file, aiff));
    if (magic == "riff" && textAt(file, 24, 4) == "wave") return check("W64", findSamples(file, w64));
    if (magic == ".snd") return check("AU", samplesOfAu(file));
    if (magic == "caff") {
        const auto samples = findSamples(file, caf);
        return check("CAF", samples ? withOpenLength(*samples, lengthUnknown64, file.size()) : samples);
    }
    throw Error(ErrorKind::input, "is no sound file that can be read", where,
                "Give WAV, RF64 or FLAC (AIFF, W64, CAF and AU are read too)");
}

}  // namespace volvelle
