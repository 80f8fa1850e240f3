#pragma once

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace volvelle {

/// The middle one, of an even number the upper of the two in the middle. At least one value, none of them
/// not-a-number.
inline double median(std::vector<double> values) {
    const auto middle = values.begin() + std::ssize(values) / 2;
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// Of a ratio of powers or energies; not a number where it is not above 0.
inline double decibels(double ratio) {
    return ratio > 0 ? 10 * std::log10(ratio) : std::numeric_limits<double>::quiet_NaN();
}

}  // namespace volvelle
