#include "turntable/DescriptorWire.h"

#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cmath>

namespace volvelle {

namespace {

constexpr int sendingMs = 1000;

/// As write(2), without a signal where the other end is gone.
ssize_t handOver(int descriptor, std::string_view bytes) {
    const ssize_t sent = ::send(descriptor, bytes.data(), bytes.size(), MSG_NOSIGNAL);
    return sent < 0 && errno == ENOTSOCK ? ::write(descriptor, bytes.data(), bytes.size()) : sent;
}

}  // namespace

DescriptorWire::~DescriptorWire() {
    close();
}

void DescriptorWire::close() noexcept {
    if (descriptor_ >= 0) ::close(descriptor_);
    descriptor_ = -1;
}

std::string DescriptorWire::open() {
    {
        const std::scoped_lock lock(mutex_);
        close();
    }
    std::string problem;
    const auto opened = openDescriptor(problem);  // may take its time: a stop must not wait for it
    if (!opened) return problem;
    const std::scoped_lock lock(mutex_);
    descriptor_ = *opened;
    return {};
}

bool DescriptorWire::send(std::string_view bytes) noexcept {
    const std::scoped_lock lock(mutex_);
    if (descriptor_ < 0) return false;
    while (!bytes.empty()) {
        const ssize_t sent = handOver(descriptor_, bytes);
        if (sent > 0) {
            bytes.remove_prefix(static_cast<std::size_t>(sent));
            continue;
        }
        if (sent < 0 && errno == EINTR) continue;
        if (sent < 0 && errno != EAGAIN && errno != EWOULDBLOCK) return false;
        pollfd ready{descriptor_, POLLOUT, 0};
        if (::poll(&ready, 1, sendingMs) <= 0) return false;
    }
    return true;
}

WireState DescriptorWire::receive(double seconds, std::string& into) {
    if (descriptor_ < 0) return WireState::dropped;
    pollfd ready{descriptor_, POLLIN, 0};
    const int found = ::poll(&ready, 1, static_cast<int>(std::ceil(seconds * 1000)));
    if (found == 0 || (found < 0 && errno == EINTR)) return WireState::quiet;
    std::array<char, 1024> buffer{};
    const ssize_t got = ::read(descriptor_, buffer.data(), buffer.size());
    if (got > 0) {
        into.append(buffer.data(), static_cast<std::size_t>(got));
        return WireState::arrived;
    }
    if (got < 0 && (errno == EAGAIN || errno == EWOULDBLOCK || errno == EINTR)) return WireState::quiet;
    return WireState::dropped;  // the other end is gone: end of file, or no such device any more
}

}  // namespace volvelle
