#include "Run/FaultyFiles.h"

#include "Text/Error.h"

#include <algorithm>
#include <utility>
#include <vector>

namespace volvelle {

struct FaultyFiles::Script {
    Fault fault;
    std::size_t atCall;
    std::function<void()> onPowerLoss;
    std::size_t calls = 0;
    bool powerIsOff = false;
    std::string faultyCall;

    /// Counts a call; true where it is to go wrong. Throws where that is all there is to it.
    bool strikes(const std::string& call, ErrorKind kind, bool movesData) {
        ++calls;
        if (calls == atCall) {
            faultyCall = call;
            if (fault == Fault::powerLoss) {
                powerIsOff = true;
                if (onPowerLoss) onPowerLoss();
            }
        }
        if (powerIsOff) throw Error(kind, "failed on purpose: the power is off", call, "");
        if (calls != atCall) return false;
        if (fault == Fault::fail || (fault == Fault::shorten && !movesData)) failNow(call, kind);
        return true;
    }

    [[noreturn]] static void failNow(const std::string& call, ErrorKind kind) {
        throw Error(kind, "failed on purpose", call, "");
    }
};

class FaultyFiles::File final : public OpenFile {
public:
    File(std::unique_ptr<OpenFile> inner, std::shared_ptr<Script> script, std::string path)
        : inner_(std::move(inner)), script_(std::move(script)), path_(std::move(path)) {}

    std::uint64_t size() const override {
        script_->strikes("size of " + path_, ErrorKind::input, false);
        return inner_->size();
    }

    void readAt(std::uint64_t offset, std::span<std::byte> out) const override {
        const std::string call = "read " + path_;
        if (!script_->strikes(call, ErrorKind::input, true)) return inner_->readAt(offset, out);
        if (script_->fault == Fault::drop) return std::fill(out.begin(), out.end(), std::byte{0});
        if (script_->fault == Fault::shorten) {
            inner_->readAt(offset, out.first(out.size() / 2));
            Script::failNow(call, ErrorKind::input);
        }
        inner_->readAt(offset, out);
        if (!out.empty()) out[out.size() / 2] ^= std::byte{0x10};
    }

    void writeAt(std::uint64_t offset, std::span<const std::byte> data) override {
        const std::string call = "write " + path_;
        if (!script_->strikes(call, ErrorKind::output, true)) return inner_->writeAt(offset, data);
        if (script_->fault == Fault::drop) return;
        if (script_->fault == Fault::shorten) {
            inner_->writeAt(offset, data.first(data.size() / 2));
            Script::failNow(call, ErrorKind::output);
        }
        std::vector<std::byte> changed(data.begin(), data.end());
        if (!changed.empty()) changed[changed.size() / 2] ^= std::byte{0x10};
        inner_->writeAt(offset, changed);
    }

    void sync() override {
        if (script_->strikes("sync " + path_, ErrorKind::output, false) && script_->fault == Fault::drop)
            return;
        inner_->sync();
    }

    void willRead(std::uint64_t offset, std::uint64_t length) const override {
        inner_->willRead(offset, length);
    }

private:
    std::unique_ptr<OpenFile> inner_;
    std::shared_ptr<Script> script_;
    std::string path_;
};

FaultyFiles::FaultyFiles(Files& inner, Fault fault, std::size_t atCall, std::function<void()> onPowerLoss)
    : inner_(inner), script_(std::make_shared<Script>()) {
    script_->fault = fault;
    script_->atCall = atCall;
    script_->onPowerLoss = std::move(onPowerLoss);
}

FaultyFiles::~FaultyFiles() = default;

bool FaultyFiles::exists(const std::string& path) const {
    script_->strikes("look for " + path, ErrorKind::input, false);
    return inner_.exists(path);
}

std::unique_ptr<OpenFile> FaultyFiles::openForReading(const std::string& path) const {
    script_->strikes("open " + path, ErrorKind::input, false);
    return std::make_unique<File>(inner_.openForReading(path), script_, path);
}

std::unique_ptr<OpenFile> FaultyFiles::create(const std::string& path) {
    script_->strikes("create " + path, ErrorKind::output, false);
    return std::make_unique<File>(inner_.create(path), script_, path);
}

void FaultyFiles::rename(const std::string& from, const std::string& to) {
    script_->strikes("rename " + from, ErrorKind::output, false);
    inner_.rename(from, to);
}

void FaultyFiles::remove(const std::string& path) {
    script_->strikes("remove " + path, ErrorKind::output, false);
    inner_.remove(path);
}

void FaultyFiles::syncFolderOf(const std::string& path) {
    if (script_->strikes("sync folder of " + path, ErrorKind::output, false) && script_->fault == Fault::drop)
        return;
    inner_.syncFolderOf(path);
}

void FaultyFiles::makeFolder(const std::string& path) {
    script_->strikes("make folder " + path, ErrorKind::output, false);
    inner_.makeFolder(path);
}

void FaultyFiles::removeFolder(const std::string& path) {
    script_->strikes("remove folder " + path, ErrorKind::output, false);
    inner_.removeFolder(path);
}

std::vector<std::string> FaultyFiles::listFolder(const std::string& path) const {
    script_->strikes("list " + path, ErrorKind::input, false);
    return inner_.listFolder(path);
}

std::uint64_t FaultyFiles::roomLeft(const std::string& path) const {
    script_->strikes("room left at " + path, ErrorKind::input, false);
    return inner_.roomLeft(path);
}

class FaultyFiles::Lock final : public FileLock {
public:
    Lock(std::unique_ptr<FileLock> inner, std::shared_ptr<Script> script, std::string path)
        : inner_(std::move(inner)), script_(std::move(script)), path_(std::move(path)) {}

    void release() override {
        script_->strikes("release " + path_, ErrorKind::output, false);
        inner_->release();
    }

private:
    std::unique_ptr<FileLock> inner_;
    std::shared_ptr<Script> script_;
    std::string path_;
};

std::unique_ptr<FileLock> FaultyFiles::lock(const std::string& path) {
    script_->strikes("lock " + path, ErrorKind::output, false);
    return std::make_unique<Lock>(inner_.lock(path), script_, path);
}

std::size_t FaultyFiles::calls() const {
    return script_->calls;
}

const std::string& FaultyFiles::faultyCall() const {
    return script_->faultyCall;
}

}  // namespace volvelle
