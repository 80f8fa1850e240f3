#pragma once

#include "Figures/Geometry.h"

#include <cmath>
#include <string>
#include <vector>

namespace volvelle {

/// Logarithmic frequency from left to right.
struct FrequencyAxis {
    double left, right, lowHz, highHz;
    double x(double hz) const {
        return left + (right - left) * std::log(hz / lowHz) / std::log(highHz / lowHz);
    }
    double hzAt(double x) const { return lowHz * std::pow(highHz / lowHz, (x - left) / (right - left)); }
    double decade() const { return (right - left) / std::log10(highHz / lowHz); }
    std::vector<double> lines() const;   ///< 1, 2 ... 9 times the powers of ten within the axis
    std::vector<double> labels() const;  ///< 1, 2, 5 times the powers of ten
};

/// A linear quantity from bottom (low) to top (high).
struct LevelAxis {
    double top, bottom, low, high;
    double y(double level) const { return bottom - (bottom - top) * (level - low) / (high - low); }
    double valueAt(double y) const { return low + (bottom - y) / (bottom - top) * (high - low); }
    std::vector<double> multiplesOf(double step) const;  ///< within the axis
};

/// Frequency as axes print it: "20", "500", "1 k", "10 k".
std::string axisFrequency(double hz);

/// A step of 1, 2 or 5 times a power of ten that divides a range into about this many parts.
double roundStep(double range, int parts);

}  // namespace volvelle
