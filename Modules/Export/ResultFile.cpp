#include "Export/ResultFile.h"

#include "Run/Files.h"
#include "Run/OutputFolder.h"
#include "Run/Unfinished.h"
#include "Text/Error.h"

#include <fmt/format.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <system_error>
#include <vector>

namespace volvelle {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view startOfRun = "VOLVELLE RUN", startOfHdf5 = "\x89HDF";
constexpr int mostLeftOvers = 100;  // of earlier processes that were killed

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

/// A result that is safe on the disk under a temporary name; removed unless it is published.
class StagedFile {
public:
    explicit StagedFile(const ResultFile& result)
        : path_(result.path), target_(withoutLinks(path_)), temporary_(temporaryNameBeside(target_)) {
        named([&] {
            std::unique_ptr<OpenFile> file;
            unfinished_.emplace(temporary_, [&] { file = diskFiles().create(temporary_); });
            try {
                file->writeAt(0, std::as_bytes(std::span(result.bytes)));
                file->sync();
            } catch (const Error&) {
                ::unlink(temporary_.c_str());
                throw;
            }
        });
    }
    ~StagedFile() {
        if (!published_) ::unlink(temporary_.c_str());
    }
    StagedFile(const StagedFile&) = delete;
    StagedFile& operator=(const StagedFile&) = delete;

    void publish(bool force) {
        named([&] {
            if (force)
                replace();
            else
                diskFiles().rename(temporary_, target_);
            published_ = true;
            diskFiles().syncFolderOf(target_);
        });
    }

    /// What replaced another file stays: that one is gone.
    void takeBack(bool force) {
        if (published_ && !force) ::unlink(target_.c_str());
    }

private:
    /// Errors name the file that was asked for rather than the temporary one.
    template <typename Work>
    void named(Work work) const {
        try {
            work();
        } catch (const Error& error) {
            throw Error(ErrorKind::output, error.problem(), path_, error.advice());
        }
    }

    void replace() const {
        if (std::rename(temporary_.c_str(), target_.c_str()) != 0)
            throw Error(ErrorKind::output,
                        "cannot be replaced (" + std::generic_category().message(errno) + ")", path_,
                        "Check the file and its folder");
    }

    std::string path_, target_, temporary_;
    std::optional<Unfinished> unfinished_;
    bool published_ = false;
};

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
    requireWritableFolder(path);
}

void writeResultFile(const std::string& path, std::string_view bytes, bool force) {
    const std::array file{ResultFile{path, std::string(bytes)}};
    writeResultFiles(file, force);
}

void writeResultFiles(std::span<const ResultFile> files, bool force) {
    for (const ResultFile& file : files) checkResultFile(file.path, force);
    std::vector<std::unique_ptr<StagedFile>> staged;
    for (const ResultFile& file : files)
        if (!isStream(typeOf(file.path))) staged.push_back(std::make_unique<StagedFile>(file));
    for (const ResultFile& file : files)
        if (isStream(typeOf(file.path))) writeStream(file.path, file.bytes);
    try {
        for (const auto& file : staged) file->publish(force);
    } catch (const Error&) {
        for (const auto& file : staged) file->takeBack(force);
        throw;
    }
}

}  // namespace volvelle
