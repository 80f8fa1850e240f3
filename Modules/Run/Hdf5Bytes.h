#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <span>
#include <vector>

namespace volvelle {

/// The bytes of an HDF5 file as the library sees them: it never touches the disk itself.
class Hdf5Bytes {
public:
    virtual ~Hdf5Bytes() = default;
    /// What a read wants: exactly these bytes, or a table of which the library does not know the length yet
    /// and asks for more than there may be.
    enum class Wanted { exactly, atMost };
    virtual bool read(std::uint64_t at, std::span<std::byte> out,
                      Wanted wanted) const = 0;                                 ///< false: not there
    virtual bool write(std::uint64_t at, std::span<const std::byte> data) = 0;  ///< false: not allowed
    std::uint64_t length = 0;  ///< of the file, user block included
};

/// Bytes that are written in scattered places; the rest reads as zero. What is reserved and never written
/// takes no memory.
class ScatteredBytes final : public Hdf5Bytes {
public:
    bool read(std::uint64_t at, std::span<std::byte> out, Wanted wanted = Wanted::exactly) const override;
    bool write(std::uint64_t at, std::span<const std::byte> data) override;

private:
    static constexpr std::uint64_t pageLength = 16384;
    std::map<std::uint64_t, std::vector<std::byte>> pages_;
};

/// Stretches of a file whose digests agree: all that the library gets to read. The user block, and what a
/// read of at most so many bytes asks for beyond a stretch, are zeros.
class CheckedBytes final : public Hdf5Bytes {
public:
    CheckedBytes(std::uint64_t userBlock, std::uint64_t fileLength);
    void add(std::uint64_t offset, std::vector<std::byte> bytes);  ///< in growing order of offset
    bool read(std::uint64_t at, std::span<std::byte> out, Wanted wanted = Wanted::exactly) const override;
    bool write(std::uint64_t, std::span<const std::byte>) override { return false; }

private:
    std::map<std::uint64_t, std::vector<std::byte>> stretches_;
    std::uint64_t userBlock_;
};

}  // namespace volvelle
