#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace volvelle {

/// Largest text file that is read when nothing else is said: 64 MiB.
constexpr std::uint64_t largestTextFile = std::uint64_t{64} << 20;

/// The contents of a UTF-8 text file as they are, without a byte-order mark. Throws Error{input} naming the
/// path where it is missing, a folder, unreadable, larger than maxBytes, or not UTF-8 text (with the line).
std::string readTextFile(const std::string& path, std::uint64_t maxBytes = largestTextFile);

/// Throws Error{input} naming source and line unless `text` is UTF-8 without NUL. `text` may start with a
/// byte-order mark.
void requireUtf8(std::string_view text, const std::string& source);

/// Without a leading UTF-8 byte-order mark.
std::string_view withoutByteOrderMark(std::string_view text);

/// A new text file: never replaces one. Throws Error{output} where it exists or cannot be written completely;
/// then nothing is left.
void writeNewTextFile(const std::string& path, std::string_view text);

}  // namespace volvelle
