#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// A file open for reading or writing at given places. Owned by one thread, but readAt may be called by
/// several at once.
class OpenFile {
public:
    virtual ~OpenFile() = default;
    virtual std::uint64_t size() const = 0;
    /// Fills `out` from `offset`. Throws Error{input} if the file ends before or cannot be read.
    virtual void readAt(std::uint64_t offset, std::span<std::byte> out) const = 0;
    /// Writes all of `data` at `offset`. Throws Error{output} if it cannot.
    virtual void writeAt(std::uint64_t offset, std::span<const std::byte> data) = 0;
    /// Returns when the data is safe on disk. Throws Error{output}.
    virtual void sync() = 0;
    /// A hint that this range will be read soon; may do nothing.
    virtual void willRead(std::uint64_t offset, std::uint64_t length) const = 0;
};

/// A lock that is held. One that is destroyed without being released leaves its file behind, as a process that
/// dies does: the next who wants the lock finds that nobody holds it.
class FileLock {
public:
    virtual ~FileLock() = default;
    virtual void release() = 0;  ///< removes the file and gives the lock up. Throws Error{output}
};

/// The narrow door to the disk: a real one, one in memory, and one that fails on purpose (in the tests).
class Files {
public:
    virtual ~Files() = default;
    virtual bool exists(const std::string& path) const = 0;
    virtual std::unique_ptr<OpenFile> openForReading(const std::string& path) const = 0;  ///< Error{input}
    virtual std::unique_ptr<OpenFile> create(
        const std::string& path) = 0;  ///< Error{output} if it exists or cannot be made
    virtual void rename(const std::string& from,
                        const std::string& to) = 0;  ///< refuses to replace `to`: Error{output}
    virtual void remove(const std::string& path) = 0;
    virtual void syncFolderOf(const std::string& path) = 0;

    virtual void makeFolder(const std::string& path) = 0;  ///< Error{output} if it exists or cannot be made
    virtual void removeFolder(const std::string& path) = 0;  ///< an empty one; Error{output}
    /// The names of what a folder holds, sorted. Error{input}.
    virtual std::vector<std::string> listFolder(const std::string& path) const = 0;
    /// Bytes that may still be written where `path` is or would be. Error{input}.
    virtual std::uint64_t roomLeft(const std::string& path) const = 0;
    /// Takes the lock that the file of this name stands for; the file names the process that holds it. Never
    /// waits. Throws Error{output} naming the process where a living one holds it, or where it cannot be taken.
    virtual std::unique_ptr<FileLock> lock(const std::string& path) = 0;
};

/// The folder that holds what bears this name; "." for a bare name.
std::string folderOf(const std::string& path);

/// Throws Error{output} where there is no room for captures that are still to come and for the run that is sealed of
/// all: both are on the disk together. Bytes.
void requireRoom(const std::string& path, std::uint64_t toCome, std::uint64_t sealed, const Files& files);

/// The disk of this machine.
Files& diskFiles();

}  // namespace volvelle
