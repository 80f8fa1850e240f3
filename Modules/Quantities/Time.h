#pragma once

#include <cmath>
#include <compare>
#include <cstdint>

namespace volvelle {

/// A stretch of time, or an instant after time zero.
struct Seconds {
    double s = 0;

    friend constexpr Seconds operator+(Seconds a, Seconds b) { return {a.s + b.s}; }
    friend constexpr Seconds operator-(Seconds a, Seconds b) { return {a.s - b.s}; }
    friend constexpr Seconds operator-(Seconds a) { return {-a.s}; }
    friend constexpr Seconds operator*(double times, Seconds a) { return {times * a.s}; }
    friend constexpr auto operator<=>(Seconds, Seconds) = default;
};

/// A whole number of samples. It becomes a time, and a time becomes samples, by a rate only.
struct Samples {
    std::int64_t count = 0;

    friend constexpr Samples operator+(Samples a, Samples b) { return {a.count + b.count}; }
    friend constexpr Samples operator-(Samples a, Samples b) { return {a.count - b.count}; }
    friend constexpr Samples operator-(Samples a) { return {-a.count}; }
    friend constexpr auto operator<=>(Samples, Samples) = default;
};

constexpr Seconds duration(Samples samples, double sampleRateHz) {
    return {static_cast<double>(samples.count) / sampleRateHz};
}

/// The nearest whole number of samples (halves away from zero). |time · rate| below 2^62.
inline Samples nearestSample(Seconds time, double sampleRateHz) {
    return {std::llround(time.s * sampleRateHz)};
}

/// The last sample at or before the time, but not earlier for rounding: 3 samples' duration is sample 3
/// again.
inline Samples sampleAtOrBefore(Seconds time, double sampleRateHz) {
    const Samples nearest = nearestSample(time, sampleRateHz);
    if (duration(nearest, sampleRateHz) <= time) return nearest;
    return nearest - Samples{1};
}

}  // namespace volvelle
