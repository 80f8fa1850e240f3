#include "Clock/SimulatedClock.h"

#include "Clock/Utc.h"

#include <cmath>

namespace volvelle {

double SimulatedClock::nowS() const {
    const std::scoped_lock lock(mutex_);
    return nowS_;
}

std::string SimulatedClock::utc() const {
    const std::scoped_lock lock(mutex_);
    return utcText(beginMs_ + std::llround(nowS_ * 1000));
}

bool SimulatedClock::waitUntil(double thenS, std::stop_token stop) {
    if (stop.stop_requested()) return false;
    const std::scoped_lock lock(mutex_);
    if (thenS > nowS_) nowS_ = thenS;
    return true;
}

}  // namespace volvelle
