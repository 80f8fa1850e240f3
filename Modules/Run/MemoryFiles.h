#pragma once

#include "Run/Files.h"

#include <map>
#include <memory>
#include <mutex>
#include <set>
#include <string>
#include <vector>

namespace volvelle {

/// Files that live in memory. Keeps apart what has been synced and what has not, so that a loss of power can
/// be played: loseUnsynced() leaves of each file and folder what the disk was told to keep. Folders that
/// makeFolder did not make are there without being made. Thread-safe.
class MemoryFiles final : public Files {
public:
    bool exists(const std::string& path) const override;
    std::unique_ptr<OpenFile> openForReading(const std::string& path) const override;
    std::unique_ptr<OpenFile> create(const std::string& path) override;
    void rename(const std::string& from, const std::string& to) override;
    void remove(const std::string& path) override;
    void syncFolderOf(const std::string& path) override;
    void makeFolder(const std::string& path) override;
    void removeFolder(const std::string& path) override;
    std::vector<std::string> listFolder(const std::string& path) const override;
    std::uint64_t roomLeft(const std::string& path) const override;
    std::unique_ptr<FileLock> lock(const std::string& path) override;

    std::uint64_t room = std::uint64_t{1} << 40;  ///< what roomLeft says

    /// Puts a file there, replacing what there was; it counts as synced.
    void put(const std::string& path, std::vector<std::byte> bytes);
    /// What a file holds now. Throws Error{input} where there is none.
    std::vector<std::byte> bytes(const std::string& path) const;
    /// The names of all files, sorted.
    std::vector<std::string> names() const;
    /// The power fails: written bytes and names that were not synced are gone, and with a folder that was not
    /// synced all that was in it. Open files stay usable.
    void loseUnsynced();

private:
    struct Content;
    class File;
    class Lock;
    using Names = std::map<std::string, std::shared_ptr<Content>>;
    std::shared_ptr<Content> find(const std::string& path) const;
    void enter(const std::string& path, std::shared_ptr<Content> content);
    bool isLost(const Names& names, const std::string& path) const;

    mutable std::mutex mutex_;
    Names names_, syncedNames_;  ///< folders have no content
    std::set<std::string> madeFolders_;  ///< all that were ever made
    std::set<std::string> locked_;
};

}  // namespace volvelle
