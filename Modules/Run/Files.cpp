#include "Run/Files.h"

#include "Run/DiskLock.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <system_error>
#include <utility>

namespace volvelle {

namespace {

std::string reason(int code) {
    return std::generic_category().message(code);
}

[[noreturn]] void failRead(const std::string& path, int code) {
    if (code == ENOENT || code == ENOTDIR)
        throw Error(ErrorKind::input, "there is no such file", path, "Check the name and the folder");
    if (code == EACCES || code == EPERM)
        throw Error(ErrorKind::input, "may not be read (" + reason(code) + ")", path,
                    "Change its permissions");
    throw Error(ErrorKind::input, "cannot be read (" + reason(code) + ")", path, "Check the disk");
}

[[noreturn]] void failWrite(const std::string& path, const std::string& act, int code) {
    std::string advice = "Check the folder and the disk";
    if (code == ENOSPC || code == EDQUOT) advice = "The disk is full: make room, then repeat";
    if (code == EACCES || code == EPERM || code == EROFS)
        advice = "The folder may not be written: choose another, or change its permissions";
    if (code == ENOENT || code == ENOTDIR) advice = "There is no such folder: make it first";
    throw Error(ErrorKind::output, "cannot " + act + " (" + reason(code) + ")", path, advice);
}

[[noreturn]] void failExists(const std::string& path) {
    throw Error(ErrorKind::output, "exists already", path,
                "A run is never overwritten: choose another name, or move the file away");
}

/// An owned file descriptor.
class Descriptor {
public:
    explicit Descriptor(int number) : number_(number) {}
    ~Descriptor() {
        if (number_ >= 0) ::close(number_);
    }
    Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    int number() const { return number_; }

private:
    int number_;
};

int openRetrying(const std::string& path, int flags, mode_t mode = 0) {
    int number = -1;
    do {
        number = ::open(path.c_str(), flags | O_CLOEXEC, mode);
    } while (number < 0 && errno == EINTR);
    return number;
}

class DiskFile final : public OpenFile {
public:
    DiskFile(Descriptor descriptor, std::string path)
        : descriptor_(std::move(descriptor)), path_(std::move(path)) {}

    std::uint64_t size() const override {
        struct stat status {};
        if (::fstat(descriptor_.number(), &status) != 0) failRead(path_, errno);
        return static_cast<std::uint64_t>(status.st_size);
    }

    void readAt(std::uint64_t offset, std::span<std::byte> out) const override {
        while (!out.empty()) {
            const ssize_t got =
                ::pread(descriptor_.number(), out.data(), out.size(), static_cast<off_t>(offset));
            if (got < 0 && errno == EINTR) continue;
            if (got < 0) failRead(path_, errno);
            if (got == 0)
                throw Error(ErrorKind::input, "ends before all was read", path_,
                            "It is cut, or was shortened while it was read: restore it from a copy");
            out = out.subspan(static_cast<std::size_t>(got));
            offset += static_cast<std::uint64_t>(got);
        }
    }

    void writeAt(std::uint64_t offset, std::span<const std::byte> data) override {
        while (!data.empty()) {
            const ssize_t put =
                ::pwrite(descriptor_.number(), data.data(), data.size(), static_cast<off_t>(offset));
            if (put < 0 && errno == EINTR) continue;
            if (put < 0) failWrite(path_, "be written", errno);
            if (put == 0) failWrite(path_, "be written", ENOSPC);
            data = data.subspan(static_cast<std::size_t>(put));
            offset += static_cast<std::uint64_t>(put);
        }
    }

    void sync() override {
        int result = -1;
        do {
            result = ::fsync(descriptor_.number());
        } while (result != 0 && errno == EINTR);
        if (result != 0) failWrite(path_, "be brought safely to the disk", errno);
        // Only a hint: what is read back after this comes from the disk, not from memory.
        ::posix_fadvise(descriptor_.number(), 0, 0, POSIX_FADV_DONTNEED);
    }

    void willRead(std::uint64_t offset, std::uint64_t length) const override {
        ::posix_fadvise(descriptor_.number(), static_cast<off_t>(offset), static_cast<off_t>(length),
                        POSIX_FADV_WILLNEED);
    }

private:
    Descriptor descriptor_;
    std::string path_;
};

/// For file systems that know no renaming without replacing: a second name fails where one exists already.
void renameByLink(const std::string& from, const std::string& to) {
    if (::link(from.c_str(), to.c_str()) != 0) {
        if (errno == EEXIST) failExists(to);
        failWrite(to, "be made", errno);
    }
    if (::unlink(from.c_str()) != 0) {
        const int code = errno;
        ::unlink(to.c_str());
        failWrite(from, "be renamed", code);
    }
}

class DiskFiles final : public Files {
public:
    bool exists(const std::string& path) const override {
        struct stat status {};
        if (::lstat(path.c_str(), &status) == 0) return true;
        if (errno == ENOENT || errno == ENOTDIR) return false;
        failRead(path, errno);
    }

    std::unique_ptr<OpenFile> openForReading(const std::string& path) const override {
        // Not blocking: a pipe without a writer would keep us here for ever.
        Descriptor descriptor(openRetrying(path, O_RDONLY | O_NONBLOCK));
        if (descriptor.number() < 0) failRead(path, errno);
        struct stat status {};
        if (::fstat(descriptor.number(), &status) != 0) failRead(path, errno);
        if (!S_ISREG(status.st_mode))
            throw Error(ErrorKind::input, S_ISDIR(status.st_mode) ? "is a folder" : "is no ordinary file",
                        path, "Name a file");
        return std::make_unique<DiskFile>(std::move(descriptor), path);
    }

    std::unique_ptr<OpenFile> create(const std::string& path) override {
        Descriptor descriptor(openRetrying(path, O_RDWR | O_CREAT | O_EXCL, 0666));
        if (descriptor.number() < 0) {
            if (errno == EEXIST) failExists(path);
            failWrite(path, "be made", errno);
        }
        return std::make_unique<DiskFile>(std::move(descriptor), path);
    }

    void rename(const std::string& from, const std::string& to) override {
        if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return;
        if (errno == EEXIST) failExists(to);
        if (errno != EINVAL && errno != ENOSYS) failWrite(to, "be made", errno);
        renameByLink(from, to);
    }

    void remove(const std::string& path) override {
        if (::unlink(path.c_str()) != 0) failWrite(path, "be removed", errno);
    }

    void syncFolderOf(const std::string& path) override {
        const std::string folder = folderOf(path);
        Descriptor descriptor(openRetrying(folder, O_RDONLY | O_DIRECTORY));
        if (descriptor.number() < 0) failWrite(folder, "be opened", errno);
        int result = -1;
        do {
            result = ::fsync(descriptor.number());
        } while (result != 0 && errno == EINTR);
        // Some network file systems cannot sync folders and say so with EINVAL; there is no other way there.
        if (result != 0 && errno != EINVAL) failWrite(folder, "be brought safely to the disk", errno);
    }

    void makeFolder(const std::string& path) override {
        if (::mkdir(path.c_str(), 0777) == 0) return;
        if (errno == EEXIST) failExists(path);
        failWrite(path, "be made", errno);
    }

    void removeFolder(const std::string& path) override {
        if (::rmdir(path.c_str()) != 0) failWrite(path, "be removed", errno);
    }

    std::vector<std::string> listFolder(const std::string& path) const override {
        std::error_code fault;
        std::vector<std::string> names;
        std::filesystem::directory_iterator entry(path, fault);
        for (; !fault && entry != std::filesystem::directory_iterator(); entry.increment(fault))
            names.push_back(entry->path().filename().string());
        if (fault) failRead(path, fault.value());
        std::sort(names.begin(), names.end());
        return names;
    }

    std::uint64_t roomLeft(const std::string& path) const override {
        struct statvfs status {};
        if (::statvfs(folderOf(path).c_str(), &status) != 0) failRead(folderOf(path), errno);
        return std::uint64_t{status.f_bavail} * status.f_frsize;
    }

    std::unique_ptr<FileLock> lock(const std::string& path) override { return lockOnDisk(path); }
};

}  // namespace

std::string folderOf(const std::string& path) {
    std::string folder = std::filesystem::path(path).parent_path().string();
    return folder.empty() ? "." : folder;
}

void requireRoom(const std::string& path, std::uint64_t toCome, std::uint64_t sealed, const Files& files) {
    const double needed = static_cast<double>(toCome) + static_cast<double>(sealed);
    const auto left = static_cast<double>(files.roomLeft(path));
    if (needed <= left) return;
    const auto megabytes = [](double count) { return fixedText(std::ceil(count / 1e6), 0) + " MB"; };
    throw Error(ErrorKind::output,
                "there is too little room on the disk: the run needs " + megabytes(needed) +
                    " for its captures and the sealed run together, and " + fixedText(std::floor(left / 1e6), 0) + " MB are left",
                path, "Make room, or choose another disk");
}

Files& diskFiles() {
    static DiskFiles files;
    return files;
}

}  // namespace volvelle
