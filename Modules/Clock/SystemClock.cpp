#include "Clock/SystemClock.h"

#include "Clock/Utc.h"

#include <chrono>
#include <condition_variable>
#include <mutex>

namespace volvelle {

double SystemClock::nowS() const {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

std::string SystemClock::utc() const {
    const auto now = std::chrono::system_clock::now().time_since_epoch();
    return utcText(std::chrono::duration_cast<std::chrono::milliseconds>(now).count());
}

bool SystemClock::waitUntil(double thenS, std::stop_token stop) {
    std::mutex mutex;
    std::condition_variable_any wake;
    std::unique_lock lock(mutex);
    const std::chrono::steady_clock::time_point then{
        std::chrono::duration_cast<std::chrono::steady_clock::duration>(std::chrono::duration<double>(thenS))};
    wake.wait_until(lock, stop, then, [] { return false; });
    return !stop.stop_requested();
}

}  // namespace volvelle
