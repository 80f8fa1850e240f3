#pragma once

#include <cmath>
#include <complex>
#include <cstddef>
#include <span>

namespace volvelle::plain {

/// Σ x[n] e^(-jωn), term by term: the slow sum that transforms are held against. first: number of the first
/// sample.
template <typename Sample>
std::complex<double> transformAt(std::span<const Sample> x, double turnsPerSample, std::ptrdiff_t first = 0) {
    std::complex<double> sum = 0;
    for (std::size_t n = 0; n < x.size(); ++n) {
        // Whole turns are taken off before the multiplication by 2π costs digits.
        const double turns = turnsPerSample * static_cast<double>(first + static_cast<std::ptrdiff_t>(n));
        sum += static_cast<double>(x[n]) * std::polar(1.0, -2 * M_PI * (turns - std::round(turns)));
    }
    return sum;
}

inline double decibels(double amplitude) {
    return 20 * std::log10(amplitude);
}

}  // namespace volvelle::plain
