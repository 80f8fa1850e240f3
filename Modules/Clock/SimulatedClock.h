#pragma once

#include "Clock/Clock.h"

#include <cstdint>
#include <mutex>

namespace volvelle {

/// Time that passes only by waiting, and then at once: a run of an hour takes as long as its arithmetic. With
/// several threads, time is that of the latest wait.
class SimulatedClock final : public Clock {
public:
    /// beginMs: milliseconds since 1970-01-01T00:00Z at nowS() == 0.
    explicit SimulatedClock(std::int64_t beginMs) : beginMs_(beginMs) {}

    double nowS() const override;
    std::string utc() const override;
    bool waitUntil(double thenS, std::stop_token stop) override;

private:
    mutable std::mutex mutex_;
    std::int64_t beginMs_;
    double nowS_ = 0;
};

}  // namespace volvelle
