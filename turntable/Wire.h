#pragma once

#include <string>
#include <string_view>

namespace volvelle {

enum class WireState { arrived, quiet, dropped };

/// A line that carries bytes both ways: serial, TCP, or scripted. One thread opens and receives; send may be
/// called by any. Nothing throws but for want of memory. None is real-time-safe.
class Wire {
public:
    virtual ~Wire() = default;

    /// For messages: "/dev/ttyUSB0", "127.0.0.1:5025".
    virtual const std::string& name() const = 0;

    /// Opens it, or opens it again after it has dropped; blocks for 5 s at most. Empty where it is open now,
    /// else what is wrong and what to do.
    virtual std::string open() = 0;

    /// Hands over all bytes; blocks for 1 s at most. False: the line has dropped, or is not open.
    virtual bool send(std::string_view bytes) noexcept = 0;

    /// Appends what has arrived to `into`; where nothing has, waits for it for as many seconds at most.
    virtual WireState receive(double seconds, std::string& into) = 0;
};

}  // namespace volvelle
