#include "Signal/HalfLength.h"

#include "Signal/ComplexLoops.h"
#include "Signal/Lanes.h"

#include <algorithm>
#include <numbers>

namespace volvelle {

namespace {

// With values a and b = conj of the mirrored one: sum a + b, and the difference a - b turned. The bins are half
// of sum + turned and the mirrored bins the conj of half of sum - turned; the way back is the same with the
// opposite turn and twice as large.
template <typename Sample, bool back>
void pairAlone(std::complex<Sample>& value, std::complex<Sample>& mirrored, std::complex<Sample> turn) {
    constexpr Sample scale = back ? Sample{1} : Sample{0.5};
    const auto a = value, b = std::conj(mirrored);
    const auto turned = product(a - b, back ? std::conj(turn) : turn);
    const auto sum = a + b;
    value = scale * (sum + turned);
    mirrored = scale * std::conj(sum - turned);
}

template <typename Sample, bool back>
void allPairs(std::complex<Sample>* values, std::size_t half, const std::complex<Sample>* turns) {
    using Vector = typename Lanes<Sample>::Type;
    constexpr Sample scale = back ? Sample{1} : Sample{0.5}, sign = back ? Sample{1} : Sample{-1};
    const Vector conjugate{1, -1, 1, -1}, scaled{scale, scale, scale, scale},
        scaledConjugate{scale, -scale, scale, -scale}, crossed{sign, -sign, sign, -sign};
    std::size_t k = 1;
    for (; k + 1 < half - k - 1; k += 2) {
        std::complex<Sample>* const at = values + k;
        std::complex<Sample>* const mirror = values + (half - k - 1);
        Vector a, m, w;
        load<Sample>(a, at);
        load<Sample>(m, mirror);
        load<Sample>(w, turns + k);
        const Vector b = __builtin_shufflevector(m, m, 2, 3, 0, 1) * conjugate;
        const Vector sum = a + b, difference = a - b;
        const Vector turned = difference * __builtin_shufflevector(w, w, 0, 0, 2, 2) +
                             __builtin_shufflevector(difference, difference, 1, 0, 3, 2) * crossed *
                                 __builtin_shufflevector(w, w, 1, 1, 3, 3);
        const Vector here = (sum + turned) * scaled, there = (sum - turned) * scaledConjugate;
        const Vector reversed = __builtin_shufflevector(there, there, 2, 3, 0, 1);
        store<Sample>(here, at);
        store<Sample>(reversed, mirror);
    }
    for (; k <= half / 2; ++k) pairAlone<Sample, back>(values[k], values[half - k], turns[k]);
}

}  // namespace

template <typename Sample>
HalfLength<Sample>::HalfLength(std::size_t n) : half_(n / 2), turn_(n / 4 + 1) {
    // Each from two of a few: sines of all of them would take longer than the transform.
    constexpr std::size_t fine = 256;
    const double step = -2 * std::numbers::pi / static_cast<double>(n);
    std::vector<std::complex<double>> small;
    for (std::size_t k = 0; k < std::min(fine, turn_.size()); ++k)
        small.push_back(std::polar(1.0, step * static_cast<double>(k)));
    for (std::size_t first = 0; first < turn_.size(); first += fine) {
        const auto large = std::complex<double>(0, -1) * std::polar(1.0, step * static_cast<double>(first));
        for (std::size_t k = first; k < std::min(first + fine, turn_.size()); ++k)
            turn_[k] = std::complex<Sample>(product(large, small[k - first]));
    }
}

template <typename Sample>
void HalfLength<Sample>::toBins(std::complex<Sample>* values) const {
    const auto first = values[0];
    allPairs<Sample, false>(values, half_, turn_.data());
    values[0] = first.real() + first.imag();
    values[half_] = first.real() - first.imag();
}

template <typename Sample>
void HalfLength<Sample>::fromBins(std::complex<Sample>* bins) const {
    const Sample first = bins[0].real(), last = bins[half_].real();
    allPairs<Sample, true>(bins, half_, turn_.data());
    bins[0] = {first + last, first - last};
}

template class HalfLength<float>;
template class HalfLength<double>;

}  // namespace volvelle
