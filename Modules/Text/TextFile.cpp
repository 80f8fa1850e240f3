#include "Text/TextFile.h"

#include "Text/Error.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <system_error>
#include <utility>

namespace volvelle {
namespace {

constexpr std::string_view byteOrderMark = "\xEF\xBB\xBF";

std::string systemMessage(int code) {
    return std::generic_category().message(code);
}

class Descriptor {
public:
    explicit Descriptor(int number) : number_(number) {}
    ~Descriptor() {
        if (number_ >= 0) ::close(number_);
    }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    int get() const { return number_; }
    bool close() { return ::close(std::exchange(number_, -1)) == 0; }

private:
    int number_;
};

[[noreturn]] void refuseRead(const std::string& path, const std::string& problem, const std::string& advice) {
    throw Error(ErrorKind::input, problem, path, advice);
}

/// Bytes of the UTF-8 character that begins at text[at]; 0 where there is none (RFC 3629: no overlong forms,
/// no surrogates).
std::size_t characterLength(std::string_view text, std::size_t at) {
    const auto byte = [&](std::size_t i) -> unsigned {
        return at + i < text.size() ? static_cast<unsigned char>(text[at + i]) : 0U;
    };
    const auto follows = [&](std::size_t i) { return (byte(i) & 0xC0U) == 0x80U; };
    const unsigned lead = byte(0);
    if (lead < 0x80) return lead == 0 ? 0 : 1;
    if (lead >= 0xC2 && lead <= 0xDF) return follows(1) ? 2 : 0;
    if (lead >= 0xE0 && lead <= 0xEF) {
        const bool legal = lead == 0xE0 ? byte(1) >= 0xA0 : lead != 0xED || byte(1) <= 0x9F;
        return follows(1) && follows(2) && legal ? 3 : 0;
    }
    if (lead >= 0xF0 && lead <= 0xF4) {
        const bool legal = lead == 0xF0 ? byte(1) >= 0x90 : lead != 0xF4 || byte(1) <= 0x8F;
        return follows(1) && follows(2) && follows(3) && legal ? 4 : 0;
    }
    return 0;
}

bool writeAll(int descriptor, std::string_view text) {
    while (!text.empty()) {
        const auto written = ::write(descriptor, text.data(), text.size());
        if (written < 0 && errno == EINTR) continue;
        if (written <= 0) return false;
        text.remove_prefix(static_cast<std::size_t>(written));
    }
    return true;
}

}  // namespace

std::string_view withoutByteOrderMark(std::string_view text) {
    if (text.starts_with(byteOrderMark)) text.remove_prefix(byteOrderMark.size());
    return text;
}

void requireUtf8(std::string_view text, const std::string& source) {
    std::size_t line = 1, at = 0;
    while (at < text.size()) {
        const std::size_t length = characterLength(text, at);
        if (length == 0)
            throw Error(ErrorKind::input, "is not UTF-8 text", fmt::format("{}, line {}", source, line),
                        "Check that it is the right file, and save it as plain text in UTF-8");
        if (text[at] == '\n') ++line;
        at += length;
    }
}

std::string readTextFile(const std::string& path, std::uint64_t maxBytes) {
    const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
    if (file.get() < 0) {
        if (errno == ENOENT) refuseRead(path, "there is no such file", "Check the path");
        refuseRead(path, "cannot be opened (" + systemMessage(errno) + ")",
                   "Check the path and its permissions");
    }
    struct stat status {};
    if (::fstat(file.get(), &status) == 0 && S_ISDIR(status.st_mode))
        refuseRead(path, "is a folder, not a text file", "Name a file in it");

    std::string text;
    std::array<char, 65536> block{};
    while (true) {
        const auto count = ::read(file.get(), block.data(), block.size());
        if (count < 0 && errno == EINTR) continue;
        if (count < 0)
            refuseRead(path, "cannot be read (" + systemMessage(errno) + ")",
                       "Check the disk and the permissions");
        if (count == 0) break;
        text.append(block.data(), static_cast<std::size_t>(count));
        if (text.size() > maxBytes)
            refuseRead(
                path, fmt::format("is larger than {} bytes, too large for a text file of its kind", maxBytes),
                "Check that it is the right file");
    }
    requireUtf8(text, path);
    if (text.starts_with(byteOrderMark)) text.erase(0, byteOrderMark.size());
    return text;
}

void writeNewTextFile(const std::string& path, std::string_view text) {
    Descriptor file(::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666));
    if (file.get() < 0) {
        if (errno == EEXIST)
            throw Error(ErrorKind::output, "exists already", path, "Choose another name or remove it first");
        throw Error(ErrorKind::output, "cannot be made (" + systemMessage(errno) + ")", path,
                    "Check the folder and its permissions");
    }
    if (writeAll(file.get(), text) && file.close()) return;
    const int fault = errno;
    ::unlink(path.c_str());
    throw Error(ErrorKind::output, "cannot be written (" + systemMessage(fault) + ")", path,
                "Check the room on the disk");
}

}  // namespace volvelle
