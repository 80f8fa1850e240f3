#include "Export/ResultFile.h"

#include "Run/Files.h"
#include "Run/Unfinished.h"
#include "Text/Error.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <span>
#include <system_error>

namespace volvelle {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view startOfRun = "VOLVELLE RUN", startOfHdf5 = "\x89HDF";
constexpr int mostLeftOvers = 100;  // of earlier processes that were killed

std::string folderOf(const std::string& path) {
    const std::string folder = fs::path(path).parent_path().string();
    return folder.empty() ? "." : folder;
}

fs::file_type typeOf(const std::string& path) {
    std::error_code fault;
    return fs::status(path, fault).type();
}

bool isStream(fs::file_type type) {
    return type == fs::file_type::character || type == fs::file_type::fifo || type == fs::file_type::socket;
}

/// A run, or another HDF5 file: data that nobody can make again.
bool holdsMeasurements(const std::string& path) {
    try {
        const auto file = diskFiles().openForReading(path);
        std::array<char, startOfRun.size()> head{};
        if (file->size() < head.size()) return false;
        file->readAt(0, std::as_writable_bytes(std::span(head)));
        const std::string_view text(head.data(), head.size());
        return text == startOfRun || text.starts_with(startOfHdf5);
    } catch (const Error&) {
        return true;  // what cannot be looked into is not replaced
    }
}

void checkFolder(const std::string& path) {
    const std::string folder = folderOf(path);
    if (typeOf(folder) != fs::file_type::directory)
        throw Error(ErrorKind::output, "its folder does not exist", path,
                    "Make the folder " + folder + " first");
    if (::faccessat(AT_FDCWD, folder.c_str(), W_OK | X_OK, AT_EACCESS) != 0)
        throw Error(ErrorKind::output,
                    "cannot be made in this folder (" + std::generic_category().message(errno) + ")", path,
                    "Choose another folder, or change its permissions");
}

/// Beside `path`, a name that no other process uses.
std::string temporaryNameBeside(const std::string& path) {
    for (int attempt = 0;; ++attempt) {
        const std::string name = fmt::format("{}/.volvelle-{}-{}.part", folderOf(path), ::getpid(), attempt);
        if (attempt >= mostLeftOvers || typeOf(name) == fs::file_type::not_found) return name;
    }
}

/// Where a link leads, so that the link itself (such as /dev/stdout) is never replaced.
std::string withoutLinks(const std::string& path) {
    std::error_code fault;
    if (!fs::is_symlink(path, fault)) return path;
    const fs::path target = fs::canonical(path, fault);
    return fault ? path : target.string();
}

/// Removes a temporary file, if it still bears its name.
class Removal {
public:
    explicit Removal(const std::string& path) : path_(path) {}
    ~Removal() { ::unlink(path_.c_str()); }
    Removal(const Removal&) = delete;
    Removal& operator=(const Removal&) = delete;

private:
    const std::string& path_;
};

void publish(const std::string& temporary, const std::string& path, bool force) {
    if (!force) return diskFiles().rename(temporary, path);
    if (std::rename(temporary.c_str(), path.c_str()) == 0) return;
    throw Error(ErrorKind::output, "cannot be replaced (" + std::generic_category().message(errno) + ")",
                path, "Check the file and its folder");
}

void writeStream(const std::string& path, std::string_view bytes) {
    std::FILE* stream = std::fopen(path.c_str(), "wb");
    bool good = stream != nullptr && std::fwrite(bytes.data(), 1, bytes.size(), stream) == bytes.size();
    if (stream != nullptr) good = (std::fclose(stream) == 0) && good;
    if (!good)
        throw Error(ErrorKind::output, "cannot be written (" + std::generic_category().message(errno) + ")",
                    path, "Check what it leads to");
}

}  // namespace

void checkResultFile(const std::string& path, bool force) {
    const fs::file_type type = typeOf(path);
    if (isStream(type)) return;
    if (type == fs::file_type::directory)
        throw Error(ErrorKind::output, "is a folder", path, "Name a file in it");
    std::error_code fault;
    const bool exists = fs::symlink_status(path, fault).type() != fs::file_type::not_found &&
                        fs::symlink_status(path, fault).type() != fs::file_type::none;
    if (exists && !force)
        throw Error(ErrorKind::output, "exists already", path,
                    "Choose another name, or give --force to replace it");
    if (exists && type == fs::file_type::regular && holdsMeasurements(path))
        throw Error(ErrorKind::output, "holds measurements, which are never replaced", path,
                    "Choose another name");
    checkFolder(path);
}

void writeResultFile(const std::string& path, std::string_view bytes, bool force) {
    checkResultFile(path, force);
    if (isStream(typeOf(path))) return writeStream(path, bytes);
    const std::string target = withoutLinks(path), temporary = temporaryNameBeside(target);
    try {
        std::unique_ptr<OpenFile> file;
        const Unfinished unfinished(temporary, [&] { file = diskFiles().create(temporary); });
        const Removal removal(temporary);
        file->writeAt(0, std::as_bytes(std::span(bytes)));
        file->sync();
        file.reset();
        publish(temporary, target, force);
        diskFiles().syncFolderOf(target);
    } catch (const Error& error) {
        throw Error(ErrorKind::output, error.problem(), path, error.advice());
    }
}

}  // namespace volvelle
