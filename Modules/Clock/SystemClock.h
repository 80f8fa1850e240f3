#pragma once

#include "Clock/Clock.h"

namespace volvelle {

/// The time of this machine.
class SystemClock final : public Clock {
public:
    double nowS() const override;
    std::string utc() const override;
    bool waitUntil(double thenS, std::stop_token stop) override;
};

}  // namespace volvelle
