#include "Signal/HalfLength.h"

#include "Signal/ComplexLoops.h"
#include "Signal/Lanes.h"

#include <algorithm>
#include <numbers>

namespace volvelle {

namespace {

// With values a and b = conj of the mirrored one: sum a + b, and the difference a - b turned. The bins are
// half of sum + turned and the mirrored bins the conj of half of sum - turned; the way back is the same with
// the opposite turn and twice as large.
template <typename Sample, bool back>
void pairAlone(std::complex<Sample>& value, std::complex<Sample>& mirrored, std::complex<Sample> turn) {
    constexpr Sample scale = back ? Sample{1} : Sample{0.5};
    const auto a = value, b = std::conj(mirrored);
    const auto turned = product(a - b, back ? std::conj(turn) : turn);
    const auto sum = a + b;
    value = scale * (sum + turned);
    mirrored = scale * std::conj(sum - turned);
}

/// A pair of values, or of bins, as they are worked on: here and the conj of the mirrored ones, two of each.
template <typename Sample>
struct Pair {
    typename Lanes<Sample>::Type here, there;

    void loadFrom(const std::complex<Sample>* at, const std::complex<Sample>* mirror) {
        const typename Lanes<Sample>::Type conjugate{1, -1, 1, -1};
        load<Sample>(here, at);
        load<Sample>(there, mirror);
        there = __builtin_shufflevector(there, there, 2, 3, 0, 1) * conjugate;
    }

    void storeTo(std::complex<Sample>* at, std::complex<Sample>* mirror) const {
        const typename Lanes<Sample>::Type conjugate{1, -1, 1, -1};
        const auto reversed = __builtin_shufflevector(there, there, 2, 3, 0, 1) * conjugate;
        store<Sample>(here, at);
        store<Sample>(reversed, mirror);
    }
};

/// a · b, or a · conj(b), lane by lane.
template <typename Sample, bool conjugated>
void multiply(const typename Lanes<Sample>::Type& a, const typename Lanes<Sample>::Type& b,
              typename Lanes<Sample>::Type& out) {
    constexpr Sample sign = conjugated ? Sample{1} : Sample{-1};
    const typename Lanes<Sample>::Type crossed{sign, -sign, sign, -sign};
    out = a * __builtin_shufflevector(b, b, 0, 0, 2, 2) +
          __builtin_shufflevector(a, a, 1, 0, 3, 2) * (__builtin_shufflevector(b, b, 1, 1, 3, 3) * crossed);
}

/// What `pairAlone` does, without its scale.
template <typename Sample, bool back>
void turnPair(Pair<Sample>& pair, const typename Lanes<Sample>::Type& turns) {
    const auto sum = pair.here + pair.there, difference = pair.here - pair.there;
    typename Lanes<Sample>::Type turned;
    multiply<Sample, back>(difference, turns, turned);
    pair.here = sum + turned;
    pair.there = sum - turned;
}

template <typename Sample, bool back>
void allPairs(std::complex<Sample>* values, std::size_t half, std::size_t highest,
              const std::complex<Sample>* turns) {
    constexpr Sample scale = back ? Sample{1} : Sample{0.5};
    const typename Lanes<Sample>::Type scales{scale, scale, scale, scale};
    std::size_t k = 1;
    for (; 2 * k + 2 < half && k <= highest; k += 2) {
        Pair<Sample> pair;
        typename Lanes<Sample>::Type turn;
        load<Sample>(turn, turns + k);
        pair.loadFrom(values + k, values + (half - k - 1));
        turnPair<Sample, back>(pair, turn);
        pair.here *= scales;
        pair.there *= scales;
        pair.storeTo(values + k, values + (half - k - 1));
    }
    for (; k <= std::min(half / 2, highest); ++k)
        pairAlone<Sample, back>(values[k], values[half - k], turns[k]);
}

template <typename Sample>
void quotientOf(typename Lanes<Sample>::Type& y, const typename Lanes<Sample>::Type& x,
                const typename Lanes<Sample>::Type& shape, Sample least) {
    const typename Lanes<Sample>::Type added{least, least, least, least}, ones{1, 1, 1, 1};
    const auto real = __builtin_shufflevector(x, x, 0, 0, 2, 2),
               imaginary = __builtin_shufflevector(x, x, 1, 1, 3, 3);
    typename Lanes<Sample>::Type raw, shaped;
    multiply<Sample, true>(y, x, raw);
    multiply<Sample, false>(raw, shape, shaped);
    y = shaped * (ones / (real * real + imaginary * imaginary + added));
}

template <typename Sample>
std::complex<Sample> quotientAlone(std::complex<Sample> y, std::complex<Sample> x, std::complex<Sample> shape,
                                   Sample least) {
    const Sample power = x.real() * x.real() + x.imag() * x.imag() + least;
    return product(product(y, std::conj(x)), shape) * (1 / power);
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
void HalfLength<Sample>::toBins(std::complex<Sample>* values, std::size_t highest) const {
    const auto first = values[0];
    allPairs<Sample, false>(values, half_, highest < half_ / 2 ? highest : half_, turn_.data());
    values[0] = first.real() + first.imag();
    values[half_] = first.real() - first.imag();
}

template <typename Sample>
void HalfLength<Sample>::fromBins(std::complex<Sample>* bins) const {
    const Sample first = bins[0].real(), last = bins[half_].real();
    allPairs<Sample, true>(bins, half_, half_, turn_.data());
    bins[0] = {first + last, first - last};
}

template <typename Sample>
void HalfLength<Sample>::quotient(std::complex<Sample>* y, const std::complex<Sample>* x,
                                  const std::complex<Sample>* shape, Sample least) const {
    const auto end = [](std::complex<Sample> v, Sample sign) { return v.real() + sign * v.imag(); };
    const Sample first = quotientAlone<Sample>(end(y[0], 1), end(x[0], 1), shape[0], least).real();
    const Sample last = quotientAlone<Sample>(end(y[0], -1), end(x[0], -1), shape[half_], least).real();
    y[0] = {first + last, first - last};
    const typename Lanes<Sample>::Type halves{0.5, 0.5, 0.5, 0.5};
    std::size_t k = 1;
    for (; 2 * k + 2 < half_; k += 2) {
        const std::size_t mirror = half_ - k - 1;
        Pair<Sample> of, by, shapes;
        typename Lanes<Sample>::Type turns;
        load<Sample>(turns, &turn_[k]);
        of.loadFrom(y + k, y + mirror);
        by.loadFrom(x + k, x + mirror);
        shapes.loadFrom(shape + k, shape + mirror);
        turnPair<Sample, false>(of, turns);
        turnPair<Sample, false>(by, turns);
        of.here *= halves, of.there *= halves, by.here *= halves, by.there *= halves;
        quotientOf<Sample>(of.here, by.here, shapes.here, least);
        quotientOf<Sample>(of.there, by.there, shapes.there, least);
        turnPair<Sample, true>(of, turns);
        of.storeTo(y + k, y + mirror);
    }
    for (; k <= half_ / 2; ++k) {
        const std::size_t mirror = half_ - k;
        auto by = x[k], byMirrored = x[mirror], of = y[k], ofMirrored = y[mirror];
        pairAlone<Sample, false>(of, ofMirrored, turn_[k]);
        pairAlone<Sample, false>(by, byMirrored, turn_[k]);
        of = quotientAlone(of, by, shape[k], least);
        ofMirrored = quotientAlone(ofMirrored, byMirrored, shape[mirror], least);
        pairAlone<Sample, true>(of, ofMirrored, turn_[k]);
        y[k] = of;
        y[mirror] = ofMirrored;
    }
}

template class HalfLength<float>;
template class HalfLength<double>;

}  // namespace volvelle
