#pragma once

#include <array>
#include <cstddef>
#include <span>

namespace volvelle {

/// Sum of term(v) over the values, in eight interleaved partial sums: exact arithmetic may not be reordered
/// by the compiler, so that a single sum would wait for each addition.
template <typename Term>
double laneSum(std::span<const float> values, Term term) {
    constexpr std::size_t lanes = 8;
    std::array<double, lanes> sums{};
    std::size_t n = 0;
    for (; n + lanes <= values.size(); n += lanes)
        for (std::size_t lane = 0; lane < lanes; ++lane) sums[lane] += term(double{values[n + lane]});
    for (; n < values.size(); ++n) sums[0] += term(double{values[n]});
    double total = 0;
    for (const double sum : sums) total += sum;
    return total;
}

/// Mean of the values; 0 of none.
inline double meanOf(std::span<const float> values) {
    return values.empty() ? 0
                          : laneSum(values, [](double v) { return v; }) / static_cast<double>(values.size());
}

/// Sum of the squares.
inline double energyOf(std::span<const float> values) {
    return laneSum(values, [](double v) { return v * v; });
}

}  // namespace volvelle
