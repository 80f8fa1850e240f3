#include "turntable/TcpWire.h"

#include "Text/Error.h"
#include "Text/Number.h"

#include <fcntl.h>
#include <netdb.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <memory>
#include <system_error>

namespace volvelle {

namespace {

constexpr int connectingMs = 5000;
const std::string thisMachine = "127.0.0.1";

std::string textOf(int error) {
    return std::generic_category().message(error);
}

/// 0, or what went wrong.
int connected(int descriptor, const addrinfo& address) {
    if (::connect(descriptor, address.ai_addr, address.ai_addrlen) == 0) return 0;
    if (errno != EINPROGRESS) return errno;
    pollfd ready{descriptor, POLLOUT, 0};
    if (::poll(&ready, 1, connectingMs) <= 0) return ETIMEDOUT;
    int error = 0;
    socklen_t size = sizeof error;
    if (::getsockopt(descriptor, SOL_SOCKET, SO_ERROR, &error, &size) != 0) return errno;
    return error;
}

}  // namespace

TcpWire::Place TcpWire::placeOf(const std::string& place) {
    const std::size_t colon = place.rfind(':');
    std::string host = colon == std::string::npos ? "" : place.substr(0, colon);
    const std::string port = colon == std::string::npos ? place : place.substr(colon + 1);
    if (host.size() > 2 && host.front() == '[' && host.back() == ']') host = host.substr(1, host.size() - 2);
    requireWholeNumber(port, 1, 65535, {ErrorKind::usage, "--host " + place, "port"});
    return {host.empty() ? thisMachine : host, port};
}

TcpWire::TcpWire(const std::string& place) : TcpWire(placeOf(place)) {
}

TcpWire::TcpWire(const Place& place)
    : DescriptorWire(place.host + ":" + place.port), host_(place.host), port_(place.port) {
}

std::optional<int> TcpWire::openDescriptor(std::string& problem) {
    addrinfo hints{};
    hints.ai_socktype = SOCK_STREAM;
    addrinfo* found = nullptr;
    if (const int code = ::getaddrinfo(host_.c_str(), port_.c_str(), &hints, &found); code != 0) {
        problem = "there is no host " + host_ + " (" + gai_strerror(code) + ")";
        return std::nullopt;
    }
    const std::unique_ptr<addrinfo, decltype(&freeaddrinfo)> addresses(found, &freeaddrinfo);
    int error = 0;
    for (const addrinfo* address = found; address != nullptr; address = address->ai_next) {
        const int descriptor = ::socket(address->ai_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
        if (descriptor < 0) {
            error = errno;
            continue;
        }
        error = connected(descriptor, *address);
        if (error == 0) {
            const int on = 1;
            ::setsockopt(descriptor, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
            return descriptor;
        }
        ::close(descriptor);
    }
    problem = "cannot connect to " + name() + ": " + textOf(error) +
              "; the table may be off, or have another address";
    return std::nullopt;
}

}  // namespace volvelle
