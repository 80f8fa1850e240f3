#pragma once

#include "Run/Files.h"

#include <cstddef>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// "RUN.h5.part" for "RUN.h5", and for itself, with or without a '/' at its end.
std::string partFolderOf(const std::string& runPath);
/// "RUN.h5" for "RUN.h5.part", "RUN.h5.part/" and itself.
std::string runPathOf(const std::string& runPathOrFolder);

/// The folder of a run under way: files that are complete or not there. A part is written under a temporary
/// name, synced, read back, renamed, and the folder synced. One thread.
class PartFolder {
public:
    static constexpr const char* headName = "head.h5";

    enum class PartKind { capture, event };
    struct Name {
        std::size_t number = 0;  ///< from 1, in the order in which the parts were kept
        PartKind kind = PartKind::capture;
        std::string text;  ///< "000012-capture.h5"
    };

    PartFolder(const std::string& runPath, Files& files);
    const std::string& path() const { return path_; }
    std::string pathOf(const std::string& name) const { return path_ + "/" + name; }
    Files& files() const { return files_; }
    bool exists() const { return files_.exists(path_); }
    bool hasHead() const { return files_.exists(pathOf(headName)); }

    /// The parts that are there, by number. Throws Error{input}.
    std::vector<Name> parts() const;

    /// Makes the folder, safely, and takes its lock. Throws Error{output}; then it is gone again.
    void makeAndLock();
    /// Throws Error{output} where a living process holds it, naming the process.
    void lock();
    /// Names the parts that follow from this number on.
    void continueFrom(std::size_t number) { next_ = number; }
    /// Writes the next part and returns its name once it is safe. Throws Error{output}; then it is not there.
    std::string write(PartKind kind, std::span<const std::byte> bytes);
    void writeHead(std::span<const std::byte> bytes) { writeAs(headName, bytes); }
    /// Brings all that was written and taken back safely to the disk.
    void settle();

    /// Removes what was never finished. Throws Error{output}.
    void removeUnfinishedParts();
    /// Removes parts, head, lock and folder, as far as it can.
    void removeQuietly();
    /// Gives up the lock, where it is held; what cannot be removed stays and harms nobody.
    void unlockQuietly();

private:
    void writeAs(const std::string& name, std::span<const std::byte> bytes);
    void writeTemporary(const std::string& temporary, std::span<const std::byte> bytes);
    void takeBack(const std::string& name);
    void removeTakenBack();

    std::string path_;
    Files& files_;
    std::unique_ptr<FileLock> lock_;
    std::size_t next_ = 1;
    std::vector<std::string> takenBack_;  ///< files that nobody was told of and that could not be removed yet
};

}  // namespace volvelle
