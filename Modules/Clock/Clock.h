#pragma once

#include <stop_token>
#include <string>
#include <utility>

namespace volvelle {

/// Time as a run sees it: real, or simulated. All methods are thread-safe; none is real-time-safe.
class Clock {
public:
    virtual ~Clock() = default;

    /// Monotonic time in seconds, of an arbitrary origin.
    virtual double nowS() const = 0;

    /// The day's time as ISO 8601 in UTC, to the millisecond: "2026-03-14T09:30:00.125Z".
    virtual std::string utc() const = 0;

    /// Blocks until nowS() is at least `thenS`; at once where it is. False where a stop was asked for before.
    virtual bool waitUntil(double thenS, std::stop_token stop) = 0;

    bool waitFor(double seconds, std::stop_token stop) {
        return waitUntil(nowS() + seconds, std::move(stop));
    }
};

}  // namespace volvelle
