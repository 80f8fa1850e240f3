#pragma once

#include <cmath>
#include <compare>

namespace volvelle {

/// A turn in degrees, of any size: 370 is more than a full turn, and not 10.
struct AngleStep {
    double deg = 0;

    friend constexpr AngleStep operator+(AngleStep a, AngleStep b) { return {a.deg + b.deg}; }
    friend constexpr AngleStep operator-(AngleStep a, AngleStep b) { return {a.deg - b.deg}; }
    friend constexpr AngleStep operator-(AngleStep a) { return {-a.deg}; }
    friend constexpr AngleStep operator*(double times, AngleStep a) { return {times * a.deg}; }
    friend constexpr auto operator<=>(AngleStep, AngleStep) = default;
};

/// A position on a circle in degrees, -180 < deg <= 180: 190 is -170, and -180 is 180. Two positions do not
/// add up; their difference is the shorter turn from the second to the first, -180 < step <= 180.
class AnglePosition {
public:
    constexpr AnglePosition() = default;
    constexpr explicit AnglePosition(double deg) : deg_(folded(deg)) {}
    constexpr double deg() const { return deg_; }

    friend constexpr AnglePosition operator+(AnglePosition a, AngleStep s) {
        return AnglePosition(a.deg_ + s.deg);
    }
    friend constexpr AnglePosition operator+(AngleStep s, AnglePosition a) { return a + s; }
    friend constexpr AnglePosition operator-(AnglePosition a, AngleStep s) {
        return AnglePosition(a.deg_ - s.deg);
    }
    friend constexpr AngleStep operator-(AnglePosition a, AnglePosition b) {
        return {folded(a.deg_ - b.deg_)};
    }
    friend constexpr bool operator==(AnglePosition, AnglePosition) = default;

private:
    static constexpr double folded(double deg) {
        if (deg > -180 && deg <= 180) return deg;
        const double rest = std::remainder(deg, 360.0);
        return rest <= -180 ? rest + 360 : rest;
    }

    double deg_ = 0;
};

}  // namespace volvelle
