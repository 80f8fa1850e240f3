#pragma once

#include "Run/Files.h"
#include "Run/Sha256.h"

#include <cstdint>
#include <string>
#include <vector>

namespace volvelle {

/// The version of the run file's format that this program writes. It reads all up to it.
constexpr std::uint32_t runFormatVersion = 2;

/// A stretch of the file in rows of equal length, each with its digest.
struct SealEntry {
    enum class Kind : std::uint8_t {
        structure = 0,  ///< what HDF5 parses: read and checked as a whole before it does
        samples = 1     ///< rows of a dataset that HDF5 never reads here: each checked just before it is used
    };
    Kind kind = Kind::structure;
    std::string name;                         ///< "metadata 1", "drives/front/samples"
    std::uint64_t offset = 0, rowLength = 0;  ///< bytes
    std::vector<Digest> rows;

    std::uint64_t end() const { return offset + rowLength * rows.size(); }
    std::uint64_t rowOffset(std::size_t row) const { return offset + rowLength * row; }
};

/// What stands in the HDF5 user block: its size, the file's length and entries that tile all bytes from the
/// user block's end to the end of the file, in order. Docs/run-file.md gives the bytes.
struct Seal {
    std::uint32_t version = runFormatVersion;
    std::uint32_t userBlock = 0;  ///< bytes: a power of two, 4096 at least
    std::uint64_t fileLength = 0;
    std::vector<SealEntry> entries;
    Digest checksum{};         ///< that closes the seal; its hexadecimal form is the run's fingerprint
    std::uint32_t length = 0;  ///< bytes that the seal takes within the user block; zeros fill the rest
};

/// The user block that holds a seal of these entries (their digests count, not what they are).
std::uint32_t userBlockFor(const std::vector<SealEntry>& entries);

/// The bytes of the whole user block; sets seal.length and seal.checksum. Error{bug} if it does not fit or
/// does not tile.
std::vector<std::byte> sealAsBytes(Seal& seal);

/// Reads and checks the seal itself; not yet that the file's length is the seal's nor that the padding is
/// zero. Throws Error{damaged} for a seal that was cut or changed, Error{input} for what is not a run or has
/// a newer format.
Seal readSeal(const OpenFile& file, const std::string& path);

/// The row's bytes agree with its digest; false where the file ends before.
bool rowIsIntact(const OpenFile& file, const SealEntry& entry, std::size_t row);

/// Bytes after the seal in the user block are zero.
bool paddingIsZero(const OpenFile& file, const Seal& seal);

/// Throws Error{damaged} that says how much is missing or was added, or that the padding was changed.
void requireSealedLength(const OpenFile& file, const Seal& seal, const std::string& path);

}  // namespace volvelle
