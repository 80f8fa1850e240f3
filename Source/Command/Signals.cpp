#include "Command/Signals.h"

#include "Command/Screen.h"
#include "Run/Unfinished.h"

#include <fcntl.h>
#include <signal.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <mutex>
#include <optional>
#include <thread>
#include <utility>

namespace volvelle {

namespace {

/// Those that nobody asked us to ignore (nohup does).
sigset_t stopSignals() {
    sigset_t set;
    sigemptyset(&set);
    for (const int number : std::array{SIGINT, SIGTERM, SIGHUP}) {
        struct sigaction action {};
        if (sigaction(number, nullptr, &action) == 0 && action.sa_handler != SIG_IGN) sigaddset(&set, number);
    }
    return set;
}

std::mutex listening;
std::optional<std::stop_source> listener;
std::string answer;  ///< to the first signal

/// What to say where somebody listens and had not been told yet.
std::optional<std::string> askedToStop() {
    const std::scoped_lock lock(listening);
    if (!listener || !listener->request_stop()) return std::nullopt;
    return answer;
}

void nextLine() {
    if (isatty(STDERR_FILENO) != 1) return;  // behind the progress
    [[maybe_unused]] const auto written = ::write(STDERR_FILENO, "\n", 1);
}

int nextSignal(const sigset_t& set) {
    int number = 0;
    while (sigwait(&set, &number) != 0) {
    }
    return number;
}

void waitAndStop(const sigset_t& set) {
    int number = nextSignal(set);
    while (const auto text = askedToStop()) {
        nextLine();
        complain(*text + "; once more ends at once");
        number = nextSignal(set);
    }
    removeUnfinished();
    nextLine();
    complain("stopped; what was not finished is removed");
    signal(number, SIG_DFL);
    pthread_sigmask(SIG_UNBLOCK, &set, nullptr);
    raise(number);
}

}  // namespace

StopOnSignals::StopOnSignals() {
    const std::scoped_lock lock(listening);
    listener.emplace();
    answer = "stopping: outputs first, then the table";
}

StopOnSignals::~StopOnSignals() {
    const std::scoped_lock lock(listening);
    listener.reset();
}

std::stop_token StopOnSignals::token() const {
    const std::scoped_lock lock(listening);
    return listener->get_token();
}

void StopOnSignals::finish(std::string what) {
    const std::scoped_lock lock(listening);
    answer = std::move(what);
}

void stopCleanlyOnSignals() {
    const sigset_t set = stopSignals();
    pthread_sigmask(SIG_BLOCK, &set, nullptr);
    std::thread([set] { waitAndStop(set); }).detach();  // lives as long as the process
}

void secureStandardStreams() {
    signal(SIGPIPE, SIG_IGN);
    for (const int stream : std::array{STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
        if (fcntl(stream, F_GETFD) != -1 || errno != EBADF) continue;
        // The wrong way round: who uses a closed stream shall notice.
        if (open("/dev/null", stream == STDIN_FILENO ? O_WRONLY : O_RDONLY) != stream) _exit(70);
    }
}

}  // namespace volvelle
