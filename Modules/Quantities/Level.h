#pragma once

#include <cmath>
#include <compare>
#include <limits>

namespace volvelle {

/// A ratio in decibels: the step from one level to another. Gains add up.
struct Gain {
    double db = 0;

    /// The factor on a field quantity (pressure, voltage): 20 dB is 10.
    double fieldFactor() const { return std::pow(10, db / 20); }
    /// The factor on squared pressure or power: 10 dB is 10.
    double powerFactor() const { return std::pow(10, db / 10); }
    static Gain ofFieldRatio(double ratio) { return {20 * std::log10(ratio)}; }  ///< ratio > 0
    static Gain ofPowerRatio(double ratio) { return {10 * std::log10(ratio)}; }  ///< ratio > 0

    friend constexpr Gain operator+(Gain a, Gain b) { return {a.db + b.db}; }
    friend constexpr Gain operator-(Gain a, Gain b) { return {a.db - b.db}; }
    friend constexpr Gain operator-(Gain a) { return {-a.db}; }
    friend constexpr Gain operator*(double times, Gain a) { return {times * a.db}; }
    friend constexpr auto operator<=>(Gain, Gain) = default;
};

/// A level in decibels re a fixed reference. Two levels do not add up, in whatever way one wishes it: level -
/// level is a Gain, level + gain a level, and sounds are added as powers.
struct Level {
    double db = 0;

    friend constexpr Gain operator-(Level a, Level b) { return {a.db - b.db}; }
    friend constexpr Level operator+(Level a, Gain g) { return {a.db + g.db}; }
    friend constexpr Level operator+(Gain g, Level a) { return a + g; }
    friend constexpr Level operator-(Level a, Gain g) { return {a.db - g.db}; }
    friend constexpr auto operator<=>(Level, Level) = default;
};

/// Of a ratio of powers or energies; not a number where it is not above 0.
inline double decibels(double powerRatio) {
    return powerRatio > 0 ? 10 * std::log10(powerRatio) : std::numeric_limits<double>::quiet_NaN();
}

/// Level of two sounds that know nothing of each other: their powers add up.
inline Level sumOfPowers(Level a, Level b) {
    return {10 * std::log10(std::pow(10, a.db / 10) + std::pow(10, b.db / 10))};
}

}  // namespace volvelle
