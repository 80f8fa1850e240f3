#include "Run/Seal.h"

#include "Text/Error.h"
#include "Text/Number.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>
#include <optional>
#include <string_view>

namespace volvelle {

namespace {

static_assert(std::endian::native == std::endian::little,
              "run files are little-endian, and written as memory holds them");

constexpr std::string_view magic("VOLVELLE RUN\r\n\x1A\n", 16);
constexpr std::size_t headerLength = 40, digestLength = sizeof(Digest);
constexpr std::uint32_t smallestUserBlock = 4096, largestUserBlock = 1U << 30;
const std::string restore = "Restore the file from a copy, or make the run again from its recordings";

class ByteWriter {
public:
    template <typename T>
    void put(T value) {
        const auto raw = std::bit_cast<std::array<std::byte, sizeof(T)>>(value);
        bytes.insert(bytes.end(), raw.begin(), raw.end());
    }
    void put(std::string_view text) {
        const auto* begin = reinterpret_cast<const std::byte*>(text.data());
        bytes.insert(bytes.end(), begin, begin + text.size());
    }
    void put(const Digest& digest) { bytes.insert(bytes.end(), digest.begin(), digest.end()); }

    std::vector<std::byte> bytes;
};

/// Takes values off the front; false where there are not enough bytes.
class ByteReader {
public:
    explicit ByteReader(std::span<const std::byte> bytes) : rest_(bytes) {}

    template <typename T>
    bool take(T& value) {
        if (rest_.size() < sizeof(T)) return false;
        std::memcpy(&value, rest_.data(), sizeof(T));
        rest_ = rest_.subspan(sizeof(T));
        return true;
    }
    bool take(std::string& text, std::size_t length) {
        if (rest_.size() < length) return false;
        text.assign(reinterpret_cast<const char*>(rest_.data()), length);
        rest_ = rest_.subspan(length);
        return true;
    }
    std::size_t left() const { return rest_.size(); }

private:
    std::span<const std::byte> rest_;
};

std::uint64_t lengthOf(const SealEntry& entry) {
    return 1 + 2 + entry.name.size() + 8 + 8 + 4 + digestLength * entry.rows.size();
}

std::uint64_t lengthOf(const std::vector<SealEntry>& entries) {
    std::uint64_t length = headerLength + digestLength;
    for (const SealEntry& entry : entries) length += lengthOf(entry);
    return length;
}

/// The entries follow one another without gap from the user block's end to the end of the file.
bool tiles(const Seal& seal) {
    std::uint64_t at = seal.userBlock;
    for (const SealEntry& entry : seal.entries) {
        const std::uint64_t room = seal.fileLength - at;
        if (entry.offset != at || entry.rows.empty() || entry.rowLength == 0) return false;
        if (entry.rowLength > room / entry.rows.size()) return false;
        at = entry.end();
    }
    return at == seal.fileLength;
}

bool takeEntry(ByteReader& reader, SealEntry& entry) {
    std::uint8_t kind = 0;
    std::uint16_t nameLength = 0;
    std::uint32_t rows = 0;
    if (!reader.take(kind) || !reader.take(nameLength) || !reader.take(entry.name, nameLength)) return false;
    if (!reader.take(entry.offset) || !reader.take(entry.rowLength) || !reader.take(rows)) return false;
    if (kind > 1 || rows > reader.left() / digestLength) return false;
    entry.kind = static_cast<SealEntry::Kind>(kind);
    entry.rows.resize(rows);
    return std::all_of(entry.rows.begin(), entry.rows.end(),
                       [&](Digest& digest) { return reader.take(digest); });
}

/// Of the entries of a seal whose checksum agrees.
bool takeEntries(ByteReader reader, std::uint32_t count, Seal& seal) {
    for (std::uint32_t i = 0; i < count; ++i) {
        seal.entries.emplace_back();
        if (!takeEntry(reader, seal.entries.back())) return false;
    }
    return reader.left() == 0 && seal.fileLength >= seal.userBlock && tiles(seal);
}

Error damaged(const std::string& path, const std::string& what) {
    return {ErrorKind::damaged, what, path, restore};
}

Error notOurs(const std::string& path) {
    return {ErrorKind::input, "is not a run file of this program", path,
            "Name a run file; recordings become one by ingest"};
}

struct Header {
    std::uint32_t version = 0, userBlock = 0, length = 0, entries = 0;
    std::uint64_t fileLength = 0;
};

Header headerOf(std::span<const std::byte> bytes) {
    ByteReader reader(bytes.subspan(magic.size()));
    Header h;
    reader.take(h.version);
    reader.take(h.userBlock);
    reader.take(h.fileLength);
    reader.take(h.length);
    reader.take(h.entries);
    return h;
}

bool isPlausible(const Header& h) {
    return std::has_single_bit(h.userBlock) && h.userBlock >= smallestUserBlock &&
           h.userBlock <= largestUserBlock && h.length >= headerLength + digestLength &&
           h.length <= h.userBlock;
}

/// The seal's bytes, or nothing where header and checksum do not agree. The magic counts as it should be, so
/// that a change in it can be told from a file of another kind.
std::optional<std::vector<std::byte>> soundSeal(const OpenFile& file, const Header& header) {
    if (!isPlausible(header) || header.length > file.size()) return std::nullopt;
    std::vector<std::byte> bytes(header.length);
    file.readAt(0, bytes);
    std::memcpy(bytes.data(), magic.data(), magic.size());
    const auto body = std::span(bytes).first(bytes.size() - digestLength);
    const Digest digest = sha256(body);
    if (std::memcmp(digest.data(), bytes.data() + body.size(), digestLength) != 0) return std::nullopt;
    return bytes;
}

/// How many of the leading bytes agree with the magic.
std::size_t likeness(std::span<const std::byte> head) {
    std::size_t equal = 0;
    for (std::size_t i = 0; i < std::min(head.size(), magic.size()); ++i)
        equal += head[i] == static_cast<std::byte>(magic[i]);
    return equal;
}

/// Reads and checks what all versions have in common: the header and the checksum.
std::vector<std::byte> readSealBytes(const OpenFile& file, const std::string& path) {
    const std::uint64_t size = file.size();
    if (size == 0) throw damaged(path, "is empty: it was cut, or never written");
    std::vector<std::byte> head(std::min<std::uint64_t>(size, headerLength));
    file.readAt(0, head);
    const std::size_t alike = likeness(head);
    if (size < headerLength) {
        if (alike < std::min<std::size_t>(head.size(), magic.size())) throw notOurs(path);
        throw damaged(path, "was cut within its seal");
    }
    const Header header = headerOf(head);
    auto bytes = soundSeal(file, header);
    if (bytes && alike == magic.size()) return std::move(*bytes);
    if (bytes) throw damaged(path, "was changed in the first bytes of its seal");
    if (alike < magic.size() * 3 / 4) throw notOurs(path);
    if (isPlausible(header) && header.length > size) throw damaged(path, "was cut within its seal");
    throw damaged(path, "was changed within its seal");
}

std::string bytesText(std::uint64_t count) {
    return fixedText(static_cast<double>(count), 0) + (count == 1 ? " byte" : " bytes");
}

}  // namespace

std::uint32_t userBlockFor(const std::vector<SealEntry>& entries) {
    const std::uint64_t length = std::max<std::uint64_t>(lengthOf(entries), smallestUserBlock);
    if (length > largestUserBlock)
        throw Error(ErrorKind::output, "has too many captures for one run file", "run", "Divide the run");
    return static_cast<std::uint32_t>(std::bit_ceil(length));
}

std::vector<std::byte> sealAsBytes(Seal& seal) {
    const std::uint64_t length = lengthOf(seal.entries);
    if (length > seal.userBlock || seal.fileLength < seal.userBlock || !tiles(seal))
        throw Error(ErrorKind::bug, "the seal's entries do not tile the file", "seal", "Report this");
    seal.length = static_cast<std::uint32_t>(length);
    ByteWriter writer;
    writer.put(magic);
    writer.put(seal.version);
    writer.put(seal.userBlock);
    writer.put(seal.fileLength);
    writer.put(seal.length);
    writer.put(static_cast<std::uint32_t>(seal.entries.size()));
    for (const SealEntry& entry : seal.entries) {
        writer.put(static_cast<std::uint8_t>(entry.kind));
        writer.put(static_cast<std::uint16_t>(entry.name.size()));
        writer.put(std::string_view(entry.name));
        writer.put(entry.offset);
        writer.put(entry.rowLength);
        writer.put(static_cast<std::uint32_t>(entry.rows.size()));
        for (const Digest& digest : entry.rows) writer.put(digest);
    }
    seal.checksum = sha256(writer.bytes);
    writer.put(seal.checksum);
    writer.bytes.resize(seal.userBlock);
    return std::move(writer.bytes);
}

Seal readSeal(const OpenFile& file, const std::string& path) {
    const std::vector<std::byte> bytes = readSealBytes(file, path);
    const Header header = headerOf(bytes);
    if (header.version > runFormatVersion)
        throw Error(ErrorKind::input,
                    "was made by a newer version of the program (run format " + fixedText(header.version, 0) +
                        ", this one reads up to " + fixedText(runFormatVersion, 0) + ")",
                    path, "Read it with that version, or update this one");
    Seal seal;
    seal.version = header.version;
    seal.userBlock = header.userBlock;
    seal.fileLength = header.fileLength;
    seal.length = header.length;
    const auto entries = std::span(bytes).subspan(headerLength, bytes.size() - headerLength - digestLength);
    if (header.version == 0 || !takeEntries(ByteReader(entries), header.entries, seal))
        throw damaged(path, "has a seal that does not describe it");
    std::memcpy(seal.checksum.data(), bytes.data() + bytes.size() - digestLength, digestLength);
    return seal;
}

bool rowIsIntact(const OpenFile& file, const SealEntry& entry, std::size_t row) {
    constexpr std::uint64_t chunk = 1 << 20;
    const std::uint64_t end = entry.rowOffset(row) + entry.rowLength;
    if (end > file.size()) return false;
    thread_local std::vector<std::byte> bytes;
    Sha256 hash;
    for (std::uint64_t at = entry.rowOffset(row); at < end; at += bytes.size()) {
        bytes.resize(std::min(chunk, end - at));
        file.readAt(at, bytes);
        hash.add(bytes);
    }
    return hash.finish() == entry.rows[row];
}

bool paddingIsZero(const OpenFile& file, const Seal& seal) {
    std::vector<std::byte> padding(seal.userBlock - seal.length);
    if (file.size() < seal.userBlock) return false;
    file.readAt(seal.length, padding);
    return std::all_of(padding.begin(), padding.end(), [](std::byte b) { return b == std::byte{0}; });
}

void requireSealedLength(const OpenFile& file, const Seal& seal, const std::string& path) {
    const std::uint64_t size = file.size();
    if (size < seal.fileLength)
        throw damaged(path, "was cut: " + bytesText(seal.fileLength - size) + " of " +
                                fixedText(static_cast<double>(seal.fileLength), 0) +
                                " are missing at its end");
    if (size > seal.fileLength)
        throw damaged(path, "has " + bytesText(size - seal.fileLength) + " too many at its end");
    if (!paddingIsZero(file, seal)) throw damaged(path, "was changed in the padding of its seal");
}

}  // namespace volvelle
