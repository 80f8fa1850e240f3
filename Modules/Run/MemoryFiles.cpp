#include "Run/MemoryFiles.h"

#include "Text/Error.h"

#include <algorithm>
#include <utility>

namespace volvelle {

struct MemoryFiles::Content {
    mutable std::mutex mutex;
    std::vector<std::byte> bytes, synced;
};

class MemoryFiles::File final : public OpenFile {
public:
    File(std::shared_ptr<Content> content, std::string path)
        : content_(std::move(content)), path_(std::move(path)) {}

    std::uint64_t size() const override {
        const std::lock_guard lock(content_->mutex);
        return content_->bytes.size();
    }

    void readAt(std::uint64_t offset, std::span<std::byte> out) const override {
        const std::lock_guard lock(content_->mutex);
        const auto& bytes = content_->bytes;
        if (offset > bytes.size() || out.size() > bytes.size() - offset)
            throw Error(ErrorKind::input, "ends before all was read", path_, "Restore it from a copy");
        std::copy_n(bytes.begin() + static_cast<std::ptrdiff_t>(offset), out.size(), out.begin());
    }

    void writeAt(std::uint64_t offset, std::span<const std::byte> data) override {
        const std::lock_guard lock(content_->mutex);
        auto& bytes = content_->bytes;
        if (offset + data.size() > bytes.size()) bytes.resize(offset + data.size());
        std::copy(data.begin(), data.end(), bytes.begin() + static_cast<std::ptrdiff_t>(offset));
    }

    void sync() override {
        const std::lock_guard lock(content_->mutex);
        content_->synced = content_->bytes;
    }

    void willRead(std::uint64_t, std::uint64_t) const override {}

private:
    std::shared_ptr<Content> content_;
    std::string path_;
};

std::shared_ptr<MemoryFiles::Content> MemoryFiles::find(const std::string& path) const {
    const auto found = names_.find(path);
    if (found == names_.end())
        throw Error(ErrorKind::input, "there is no such file", path, "Check the name and the folder");
    if (!found->second) throw Error(ErrorKind::input, "is a folder", path, "Name a file");
    return found->second;
}

/// True where the folder of that name was made and is not there.
bool MemoryFiles::isLost(const Names& names, const std::string& path) const {
    return madeFolders_.contains(folderOf(path)) && !names.contains(folderOf(path));
}

void MemoryFiles::enter(const std::string& path, std::shared_ptr<Content> content) {
    if (names_.contains(path)) throw Error(ErrorKind::output, "exists already", path, "Choose another name");
    if (isLost(names_, path))
        throw Error(ErrorKind::output, "cannot be made (there is no such folder)", path, "Make it first");
    names_[path] = std::move(content);
}

bool MemoryFiles::exists(const std::string& path) const {
    const std::lock_guard lock(mutex_);
    return names_.contains(path);
}

std::unique_ptr<OpenFile> MemoryFiles::openForReading(const std::string& path) const {
    const std::lock_guard lock(mutex_);
    return std::make_unique<File>(find(path), path);
}

std::unique_ptr<OpenFile> MemoryFiles::create(const std::string& path) {
    const std::lock_guard lock(mutex_);
    auto content = std::make_shared<Content>();
    enter(path, content);
    return std::make_unique<File>(std::move(content), path);
}

void MemoryFiles::rename(const std::string& from, const std::string& to) {
    const std::lock_guard lock(mutex_);
    enter(to, find(from));
    names_.erase(from);
}

void MemoryFiles::remove(const std::string& path) {
    const std::lock_guard lock(mutex_);
    if (const auto found = names_.find(path); found != names_.end() && found->second)
        names_.erase(found);
    else
        throw Error(ErrorKind::output, "cannot be removed (there is no such file)", path, "Check the name");
}

void MemoryFiles::syncFolderOf(const std::string& path) {
    const std::lock_guard lock(mutex_);
    const std::string folder = folderOf(path);
    const auto within = [&](const auto& entry) { return folderOf(entry.first) == folder; };
    std::erase_if(syncedNames_, within);
    std::copy_if(names_.begin(), names_.end(), std::inserter(syncedNames_, syncedNames_.end()), within);
    std::erase_if(syncedNames_, [&](const auto& entry) { return isLost(names_, entry.first); });
}

void MemoryFiles::makeFolder(const std::string& path) {
    const std::lock_guard lock(mutex_);
    enter(path, nullptr);
    madeFolders_.insert(path);
}

void MemoryFiles::removeFolder(const std::string& path) {
    const std::lock_guard lock(mutex_);
    const auto within = [&](const auto& entry) { return folderOf(entry.first) == path; };
    if (std::any_of(names_.begin(), names_.end(), within))
        throw Error(ErrorKind::output, "cannot be removed (it is not empty)", path, "Empty it first");
    const auto found = names_.find(path);
    if (found == names_.end() || found->second)
        throw Error(ErrorKind::output, "cannot be removed (there is no such folder)", path, "Check the name");
    names_.erase(found);
}

std::vector<std::string> MemoryFiles::listFolder(const std::string& path) const {
    const std::lock_guard lock(mutex_);
    if (madeFolders_.contains(path) && !names_.contains(path))
        throw Error(ErrorKind::input, "there is no such file", path, "Check the name and the folder");
    std::vector<std::string> names;
    for (const auto& [name, content] : names_)
        if (folderOf(name) == path) names.push_back(name.substr(name.rfind('/') + 1));
    return names;
}

std::uint64_t MemoryFiles::roomLeft(const std::string&) const {
    return room;
}

class MemoryFiles::Lock final : public FileLock {
public:
    Lock(MemoryFiles& files, std::string path) : files_(files), path_(std::move(path)) {}
    ~Lock() override {
        const std::lock_guard lock(files_.mutex_);
        files_.locked_.erase(path_);
    }
    Lock(const Lock&) = delete;
    Lock& operator=(const Lock&) = delete;
    void release() override { files_.remove(path_); }

private:
    MemoryFiles& files_;
    std::string path_;
};

std::unique_ptr<FileLock> MemoryFiles::lock(const std::string& path) {
    const std::lock_guard lock(mutex_);
    if (locked_.contains(path))
        throw Error(ErrorKind::output, "is being written by another process", path, "Wait until it has ended");
    if (!names_.contains(path)) enter(path, std::make_shared<Content>());
    locked_.insert(path);
    return std::make_unique<Lock>(*this, path);
}

void MemoryFiles::put(const std::string& path, std::vector<std::byte> bytes) {
    const std::lock_guard lock(mutex_);
    auto content = std::make_shared<Content>();
    content->synced = bytes;
    content->bytes = std::move(bytes);
    syncedNames_[path] = content;
    names_[path] = std::move(content);
}

std::vector<std::byte> MemoryFiles::bytes(const std::string& path) const {
    const std::lock_guard lock(mutex_);
    const auto content = find(path);
    const std::lock_guard contentLock(content->mutex);
    return content->bytes;
}

std::vector<std::string> MemoryFiles::names() const {
    const std::lock_guard lock(mutex_);
    std::vector<std::string> names;
    for (const auto& [name, content] : names_)
        if (content) names.push_back(name);
    return names;
}

void MemoryFiles::loseUnsynced() {
    const std::lock_guard lock(mutex_);
    std::erase_if(syncedNames_, [&](const auto& entry) { return isLost(syncedNames_, entry.first); });
    names_ = syncedNames_;
    for (const auto& [name, content] : names_) {
        if (!content) continue;
        const std::lock_guard contentLock(content->mutex);
        content->bytes = content->synced;
    }
}

}  // namespace volvelle
