#pragma once

#include "Run/Files.h"

#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

namespace volvelle {

/// Files that live in memory. Keeps apart what has been synced and what has not, so that a loss of power can
/// be played: loseUnsynced() leaves of each file and folder what the disk was told to keep. Thread-safe.
class MemoryFiles final : public Files {
public:
    bool exists(const std::string& path) const override;
    std::unique_ptr<OpenFile> openForReading(const std::string& path) const override;
    std::unique_ptr<OpenFile> create(const std::string& path) override;
    void rename(const std::string& from, const std::string& to) override;
    void remove(const std::string& path) override;
    void syncFolderOf(const std::string& path) override;

    /// Puts a file there, replacing what there was; it counts as synced.
    void put(const std::string& path, std::vector<std::byte> bytes);
    /// What a file holds now. Throws Error{input} where there is none.
    std::vector<std::byte> bytes(const std::string& path) const;
    /// The names of all files, sorted.
    std::vector<std::string> names() const;
    /// The power fails: written bytes and names that were not synced are gone. Open files stay usable.
    void loseUnsynced();

private:
    struct Content;
    class File;
    using Names = std::map<std::string, std::shared_ptr<Content>>;
    std::shared_ptr<Content> find(const std::string& path) const;

    mutable std::mutex mutex_;
    Names names_, syncedNames_;
};

}  // namespace volvelle
