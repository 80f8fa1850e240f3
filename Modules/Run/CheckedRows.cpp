#include "Run/CheckedRows.h"

#include "Text/Error.h"

#include <algorithm>
#include <cstring>
#include <utility>
#include <vector>

namespace volvelle {

namespace {

Error damaged(const std::string& path, const std::string& what) {
    return {ErrorKind::damaged, what, path,
            "Restore the file from a copy, or make the run again from its recordings"};
}

/// Reads a row in parts that stay in the processor's cache, lets `use` work on each, and holds the row
/// against its digest. What `use` made counts for nothing if this throws.
template <typename Use>
void readRow(const OpenFile& file, const SealEntry& entry, std::size_t row, std::span<std::byte> out,
             const std::string& name, Use use) {
    constexpr std::size_t part = 1 << 17;
    thread_local Sha256 hash;
    hash.finish();  // forgets what a row that could not be read left behind
    for (std::size_t at = 0; at < out.size(); at += part) {
        const auto bytes = out.subspan(at, std::min(part, out.size() - at));
        file.readAt(entry.rowOffset(row) + at, bytes);
        hash.add(bytes);
        use(bytes);
    }
    if (hash.finish() != entry.rows[row]) throw damaged(name, "is damaged: its digest does not agree");
}

/// In place: the same memory holds the integers before and the numbers after.
void scaleInPlace(std::span<std::byte> bytes) {
    for (std::size_t at = 0; at < bytes.size(); at += sizeof(float)) {
        std::int32_t integer = 0;
        std::memcpy(&integer, bytes.data() + at, sizeof(integer));
        const float sample = static_cast<float>(integer) * 0x1p-31F;
        std::memcpy(bytes.data() + at, &sample, sizeof(sample));
    }
}

}  // namespace

void readCheckedRow(const OpenFile& file, const SealEntry& entry, std::size_t row, std::span<std::byte> out,
                    const std::string& name) {
    readRow(file, entry, row, out, name, [](std::span<std::byte>) {});
}

void readCheckedSamples(const OpenFile& file, const SealEntry& entry, std::size_t row, std::span<std::byte> out,
                        SampleType stored, const std::string& name) {
    if (stored == SampleType::int32)
        readRow(file, entry, row, out, name, scaleInPlace);
    else
        readCheckedRow(file, entry, row, out, name);
}

CheckedBytes readCheckedBytes(const OpenFile& file, const Seal& seal, const std::string& path) {
    CheckedBytes bytes(seal.userBlock, seal.fileLength);
    for (const SealEntry& entry : seal.entries) {
        if (entry.kind != SealEntry::Kind::structure) continue;
        if (entry.rows.size() != 1) throw damaged(path, "has a seal that does not describe it");
        std::vector<std::byte> stretch(entry.rowLength);
        readCheckedRow(file, entry, 0, stretch, path + ": " + entry.name);
        bytes.add(entry.offset, std::move(stretch));
    }
    return bytes;
}

const SealEntry& entryOf(const StoredRows& rows, const Seal& seal, const std::string& path) {
    const auto found = std::find_if(seal.entries.begin(), seal.entries.end(), [&](const SealEntry& entry) {
        return entry.kind == SealEntry::Kind::samples && entry.name == rows.name;
    });
    if (found == seal.entries.end() || found->offset != rows.offset || found->rowLength != rows.rowLength ||
        found->rows.size() != rows.rows)
        throw damaged(path, "'" + rows.name + "' is not where the seal says");
    return *found;
}

}  // namespace volvelle
