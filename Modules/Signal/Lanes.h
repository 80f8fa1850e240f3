#pragma once

#include <complex>
#include <cstring>

namespace volvelle {

/// Two complex numbers as one vector of four reals, of whatever width the target has: for loops that
/// compilers do not see through. Plain arithmetic on it works lane by lane.
template <typename Sample>
struct Lanes;
template <>
struct Lanes<float> {
    using Type = float __attribute__((vector_size(16)));
};
template <>
struct Lanes<double> {
    using Type = double __attribute__((vector_size(32)));
};

template <typename Sample>
void load(typename Lanes<Sample>::Type& lanes, const std::complex<Sample>* two) {
    std::memcpy(&lanes, two, sizeof(lanes));
}

template <typename Sample>
void store(const typename Lanes<Sample>::Type& lanes, std::complex<Sample>* two) {
    std::memcpy(static_cast<void*>(two), &lanes, sizeof(lanes));
}

}  // namespace volvelle
