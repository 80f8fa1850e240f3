#pragma once

#include "turntable/DescriptorWire.h"

#include <string>

namespace volvelle {

/// A TCP connection.
class TcpWire final : public DescriptorWire {
public:
    /// place: "HOST:PORT", "[IPv6]:PORT", ":PORT" or "PORT"; this machine (127.0.0.1) where no host is named.
    /// Throws Error{usage} for anything else.
    explicit TcpWire(const std::string& place);

private:
    struct Place {
        std::string host, port;
    };
    static Place placeOf(const std::string& place);
    explicit TcpWire(const Place& place);
    std::optional<int> openDescriptor(std::string& problem) override;

    std::string host_, port_;
};

}  // namespace volvelle
