#include "Run/DiskLock.h"

#include "Text/Error.h"
#include "Text/Number.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <string_view>
#include <system_error>
#include <utility>

namespace volvelle {

namespace {

[[noreturn]] void fail(const std::string& path, const std::string& act, int code) {
    throw Error(ErrorKind::output,
                "the lock cannot be " + act + " (" + std::generic_category().message(code) + ")", path,
                "Check the folder and the disk");
}

class Descriptor {
public:
    explicit Descriptor(int number) : number_(number) {}
    ~Descriptor() { close(); }
    Descriptor(Descriptor&& other) noexcept : number_(std::exchange(other.number_, -1)) {}
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    int number() const { return number_; }
    void close() {
        if (number_ >= 0) ::close(number_);
        number_ = -1;
    }

private:
    int number_;
};

/// What can be read of a small file, of the disk or of the system's own.
std::string contents(int descriptor) {
    std::string text(4096, '\0');
    const ssize_t got = ::pread(descriptor, text.data(), text.size(), 0);
    text.resize(got > 0 ? static_cast<std::size_t>(got) : 0);
    return text;
}

std::string contents(const std::string& path) {
    const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
    return file.number() < 0 ? std::string() : contents(file.number());
}

std::string firstLine(const std::string& text) {
    return text.substr(0, text.find('\n'));
}

/// When the process began, in the system's ticks since its start; empty where there is none. It is the 22nd
/// field of /proc/PID/stat, the 20th after the name in parentheses, which may hold anything.
std::string startOf(const std::string& process) {
    const std::string status = contents("/proc/" + process + "/stat");
    std::size_t at = status.rfind(')');
    for (int field = 0; field < 20 && at != std::string::npos; ++field) at = status.find(' ', at + 1);
    if (at == std::string::npos) return {};
    return status.substr(at + 1, status.find(' ', at + 1) - at - 1);
}

/// A process as a lock's file names it: one "name value" for each line.
struct Holder {
    std::string process, start, boot, host;

    static Holder self() {
        Holder own;
        own.process = fixedText(static_cast<double>(::getpid()), 0);
        own.start = startOf(own.process);
        own.boot = firstLine(contents("/proc/sys/kernel/random/boot_id"));
        own.host = firstLine(contents("/proc/sys/kernel/hostname"));
        return own;
    }

    static Holder parse(const std::string& text) {
        const auto value = [&](std::string_view name) {
            const std::string key = std::string(name) + " ";
            const std::size_t at = text.starts_with(key) ? 0 : text.find("\n" + key);
            if (at == std::string::npos) return std::string();
            const std::size_t begin = text.find(' ', at) + 1;
            return text.substr(begin, text.find('\n', begin) - begin);
        };
        return {value("process"), value("start"), value("boot"), value("host")};
    }

    std::string text() const {
        return "process " + process + "\nstart " + start + "\nboot " + boot + "\nhost " + host + "\n";
    }

    /// Written since this machine was started, or before that.
    bool isHere(const Holder& self) const { return boot == self.boot || host == self.host; }

    /// Of one that isHere.
    bool lives(const Holder& self) const {
        return boot == self.boot && process != self.process && !start.empty() && startOf(process) == start;
    }
};

[[noreturn]] void failHeld(const std::string& path, const Holder& holder, const Holder& self) {
    if (holder.process.empty())
        throw Error(ErrorKind::output, "another process writes this run", path, "Wait until it has ended");
    if (!holder.isHere(self))
        throw Error(ErrorKind::output,
                    "process " + holder.process + " on the machine '" + holder.host + "' writes this run", path,
                    "Wait until it has ended; if that machine no longer runs it, remove this file");
    throw Error(ErrorKind::output, "process " + holder.process + " of this machine writes this run", path,
                "Wait until it has ended, or stop it");
}

enum class Grip { held, byAnother, notKnown };

Grip grip(int descriptor) {
    if (::flock(descriptor, LOCK_EX | LOCK_NB) == 0) return Grip::held;
    return errno == EWOULDBLOCK ? Grip::byAnother : Grip::notKnown;
}

/// Whether the process that the file names keeps us from taking the lock.
bool stillHolds(const Holder& holder, const Holder& self, Grip mine) {
    if (mine == Grip::byAnother) return true;
    if (holder.process.empty()) return false;
    if (!holder.isHere(self)) return true;  // it cannot be seen from here whether it lives
    return mine == Grip::notKnown && holder.lives(self);
}

/// The file still bears its name: whoever gave the lock up before us may have removed it meanwhile.
bool stillNamed(int descriptor, const std::string& path) {
    struct stat ours {}, named {};
    return ::fstat(descriptor, &ours) == 0 && ::stat(path.c_str(), &named) == 0 &&
           ours.st_ino == named.st_ino && ours.st_dev == named.st_dev;
}

void put(int descriptor, const std::string& text, const std::string& path) {
    if (::ftruncate(descriptor, 0) != 0) fail(path, "written", errno);
    const ssize_t written = ::pwrite(descriptor, text.data(), text.size(), 0);
    if (written < 0) fail(path, "written", errno);
    if (static_cast<std::size_t>(written) != text.size()) fail(path, "written", ENOSPC);
    if (::fsync(descriptor) != 0) fail(path, "brought safely to the disk", errno);
}

class DiskLock final : public FileLock {
public:
    DiskLock(Descriptor descriptor, std::string path)
        : descriptor_(std::move(descriptor)), path_(std::move(path)) {}

    void release() override {
        // Removed while it is still held, so that nobody else's file is removed.
        if (::unlink(path_.c_str()) != 0) fail(path_, "removed", errno);
        descriptor_.close();
    }

private:
    Descriptor descriptor_;
    std::string path_;
};

}  // namespace

std::unique_ptr<FileLock> lockOnDisk(const std::string& path) {
    const Holder self = Holder::self();
    for (int attempt = 0; attempt < 100; ++attempt) {
        Descriptor file(::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666));
        if (file.number() < 0) fail(path, "made", errno);
        const Grip mine = grip(file.number());
        const Holder holder = Holder::parse(contents(file.number()));
        if (mine == Grip::held && !stillNamed(file.number(), path)) continue;
        if (stillHolds(holder, self, mine)) failHeld(path, holder, self);
        try {
            put(file.number(), self.text(), path);
        } catch (const Error&) {
            ::unlink(path.c_str());
            throw;
        }
        return std::make_unique<DiskLock>(std::move(file), path);
    }
    throw Error(ErrorKind::output, "other processes take this run again and again", path,
                "Wait until they have ended");
}

}  // namespace volvelle
