#include "Run/PartFolder.h"

#include "Text/Error.h"

#include <fmt/core.h>

#include <algorithm>
#include <cstring>
#include <optional>
#include <string_view>
#include <utility>

namespace volvelle {

namespace {

constexpr std::string_view folderEnding = ".part", temporaryEnding = ".writing";
constexpr const char* lockName = "lock";

std::string_view wordFor(PartFolder::PartKind kind) {
    return kind == PartFolder::PartKind::capture ? "capture" : "event";
}

std::string textOf(std::size_t number, PartFolder::PartKind kind) {
    return fmt::format("{:06}-{}.h5", number, wordFor(kind));
}

/// Nothing for what is not a part's name.
std::optional<PartFolder::Name> nameOf(const std::string& text) {
    std::size_t number = 0;
    for (const char c : text.substr(0, std::min<std::size_t>(text.find('-'), 12))) {
        if (c < '0' || c > '9') return std::nullopt;
        number = number * 10 + static_cast<std::size_t>(c - '0');
    }
    if (number == 0) return std::nullopt;
    for (const auto kind : {PartFolder::PartKind::capture, PartFolder::PartKind::event})
        if (text == textOf(number, kind)) return PartFolder::Name{number, kind, text};
    return std::nullopt;
}

template <typename Act>
void quietly(Act act) {
    try {
        act();
    } catch (const Error&) {  // whoever calls this has done what counts, or throws what says more
    }
}

}  // namespace

std::string runPathOf(const std::string& runPathOrFolder) {
    std::string path = runPathOrFolder;
    while (path.size() > 1 && path.ends_with('/')) path.pop_back();
    if (!path.ends_with(folderEnding)) return runPathOrFolder;
    return path.substr(0, path.size() - folderEnding.size());
}

std::string partFolderOf(const std::string& runPath) {
    return runPathOf(runPath) + std::string(folderEnding);
}

PartFolder::PartFolder(const std::string& runPath, Files& files)
    : path_(partFolderOf(runPath)), files_(files) {
}

std::vector<PartFolder::Name> PartFolder::parts() const {
    std::vector<Name> parts;
    for (const std::string& text : files_.listFolder(path_))
        if (auto name = nameOf(text)) parts.push_back(std::move(*name));
    std::sort(parts.begin(), parts.end(), [](const Name& a, const Name& b) { return a.number < b.number; });
    return parts;
}

void PartFolder::makeAndLock() {
    files_.makeFolder(path_);
    try {
        lock();
        files_.syncFolderOf(path_);
    } catch (const Error&) {
        unlockQuietly();
        quietly([&] { files_.removeFolder(path_); });  // fails where another process was faster
        throw;
    }
}

void PartFolder::lock() {
    lock_ = files_.lock(pathOf(lockName));
}

std::string PartFolder::write(PartKind kind, std::span<const std::byte> bytes) {
    const std::string name = textOf(next_++, kind);
    writeAs(name, bytes);
    return name;
}

void PartFolder::writeAs(const std::string& name, std::span<const std::byte> bytes) {
    const std::string temporary = name + std::string(temporaryEnding);
    try {
        removeTakenBack();
        writeTemporary(temporary, bytes);
    } catch (const Error& error) {
        takeBack(temporary);
        // Not the temporary's name; and what cannot be read back is not safely written.
        throw Error(ErrorKind::output, error.problem(), pathOf(name), error.advice());
    }
    try {
        files_.rename(pathOf(temporary), pathOf(name));
    } catch (const Error&) {
        takeBack(temporary);
        throw;
    }
    try {
        files_.syncFolderOf(pathOf(name));
    } catch (const Error&) {
        takeBack(name);
        throw;
    }
}

void PartFolder::writeTemporary(const std::string& temporary, std::span<const std::byte> bytes) {
    const auto file = files_.create(pathOf(temporary));
    file->writeAt(0, bytes);
    file->sync();
    std::vector<std::byte> back(bytes.size());
    if (file->size() == bytes.size()) file->readAt(0, back);
    if (std::memcmp(back.data(), bytes.data(), bytes.size()) != 0)
        throw Error(ErrorKind::output, "was written, but reads back differently", temporary,
                    "Do not trust this disk: use another one");
}

void PartFolder::takeBack(const std::string& name) {
    takenBack_.push_back(name);
    quietly([&] { removeTakenBack(); });
}

void PartFolder::removeTakenBack() {
    while (!takenBack_.empty()) {
        const std::string path = pathOf(takenBack_.back());
        if (files_.exists(path)) files_.remove(path);
        takenBack_.pop_back();
    }
}

void PartFolder::settle() {
    removeTakenBack();
    files_.syncFolderOf(pathOf(headName));
}

void PartFolder::removeUnfinishedParts() {
    for (const std::string& name : files_.listFolder(path_))
        if (name.ends_with(temporaryEnding)) files_.remove(pathOf(name));
}

void PartFolder::removeQuietly() {
    quietly([&] { removeUnfinishedParts(); });
    quietly([&] {
        for (const Name& part : parts()) quietly([&] { files_.remove(pathOf(part.text)); });
    });
    quietly([&] { files_.remove(pathOf(headName)); });
    unlockQuietly();
    quietly([&] { files_.removeFolder(path_); });
    quietly([&] { files_.syncFolderOf(path_); });
}

void PartFolder::unlockQuietly() {
    if (lock_) quietly([&] { lock_->release(); });
    lock_.reset();
}

}  // namespace volvelle
