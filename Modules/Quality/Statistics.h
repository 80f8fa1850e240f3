#pragma once

#include <algorithm>
#include <vector>

namespace volvelle {

/// The middle one, of an even number the upper of the two in the middle. At least one value, none of them
/// not-a-number.
inline double median(std::vector<double> values) {
    const auto middle = values.begin() + std::ssize(values) / 2;
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

}  // namespace volvelle
