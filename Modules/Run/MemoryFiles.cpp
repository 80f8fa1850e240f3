#include "Run/MemoryFiles.h"

#include "Text/Error.h"

#include <algorithm>
#include <filesystem>
#include <utility>

namespace volvelle {

struct MemoryFiles::Content {
    mutable std::mutex mutex;
    std::vector<std::byte> bytes, synced;
};

namespace {

std::string folderOf(const std::string& path) {
    return std::filesystem::path(path).parent_path().string();
}

}  // namespace

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
    return found->second;
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
    if (names_.contains(path)) throw Error(ErrorKind::output, "exists already", path, "Choose another name");
    auto content = std::make_shared<Content>();
    names_[path] = content;
    return std::make_unique<File>(std::move(content), path);
}

void MemoryFiles::rename(const std::string& from, const std::string& to) {
    const std::lock_guard lock(mutex_);
    auto content = find(from);
    if (names_.contains(to)) throw Error(ErrorKind::output, "exists already", to, "Choose another name");
    names_.erase(from);
    names_[to] = std::move(content);
}

void MemoryFiles::remove(const std::string& path) {
    const std::lock_guard lock(mutex_);
    if (names_.erase(path) == 0)
        throw Error(ErrorKind::output, "cannot be removed (there is no such file)", path, "Check the name");
}

void MemoryFiles::syncFolderOf(const std::string& path) {
    const std::lock_guard lock(mutex_);
    const std::string folder = folderOf(path);
    const auto within = [&](const auto& entry) { return folderOf(entry.first) == folder; };
    std::erase_if(syncedNames_, within);
    std::copy_if(names_.begin(), names_.end(), std::inserter(syncedNames_, syncedNames_.end()), within);
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
    for (const auto& [name, content] : names_) names.push_back(name);
    return names;
}

void MemoryFiles::loseUnsynced() {
    const std::lock_guard lock(mutex_);
    names_ = syncedNames_;
    for (const auto& [name, content] : names_) {
        const std::lock_guard contentLock(content->mutex);
        content->bytes = content->synced;
    }
}

}  // namespace volvelle
