#pragma once

#include <array>
#include <cstddef>
#include <span>
#include <string>

namespace volvelle {

using Digest = std::array<std::byte, 32>;

/// SHA-256 (FIPS 180-4) of the bytes.
Digest sha256(std::span<const std::byte> bytes);

/// 64 lower-case hexadecimal digits.
std::string hexadecimal(const Digest& digest);

/// SHA-256 of bytes that come in parts.
class Sha256 {
public:
    Sha256();
    ~Sha256();
    Sha256(const Sha256&) = delete;
    Sha256& operator=(const Sha256&) = delete;

    void add(std::span<const std::byte> bytes);
    Digest finish();  ///< the object may be used for other bytes afterwards

private:
    void* context_;
};

}  // namespace volvelle
