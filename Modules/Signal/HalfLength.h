#pragma once

#include <complex>
#include <cstddef>
#include <vector>

namespace volvelle {

/// The step between the transform of n reals and the complex transform of half the length, of which the even
/// samples are the real and the odd ones the imaginary parts (handbook: Press et al., Numerical
/// Recipes, 12.3). For long transforms this and the library's complex ones are quicker to plan (tenths of a
/// millisecond, not tens) and to execute than its real ones. Thread-safe to use.
template <typename Sample>
class HalfLength {
public:
    /// n: even, at least 2.
    explicit HalfLength(std::size_t n);

    /// In place: from the n/2 values of the half-length transform to bins 0 ... n/2 of the real one.
    /// Up to a highest bin alone, if one is given; those above it are then anything.
    void toBins(std::complex<Sample>* values, std::size_t highest = allBins) const;
    static constexpr std::size_t allBins = static_cast<std::size_t>(-1);

    /// In place: from bins 0 ... n/2 to what the half-length inverse transform turns into n times the
    /// samples.
    void fromBins(std::complex<Sample>* bins) const;

    /// In place of y, all between the half-length transforms in one pass: from the values of y and x to bins,
    /// there y · conj(x) · shape / (|x|² + least), and back to what the inverse transform takes. y, x: n/2
    /// values; shape: n/2 + 1 bins.
    void quotient(std::complex<Sample>* y, const std::complex<Sample>* x, const std::complex<Sample>* shape,
                  Sample least) const;

private:
    std::size_t half_;
    std::vector<std::complex<Sample>> turn_;  ///< -j e^(-2πjk/n), k = 0 ... n/4
};

extern template class HalfLength<float>;
extern template class HalfLength<double>;

}  // namespace volvelle
