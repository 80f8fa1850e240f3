#pragma once

#include <complex>
#include <span>

namespace volvelle {

// Products of finite complex numbers as plain arithmetic: the standard operator looks for infinities in each
// product, which keeps loops over a hundred thousand bins from being vectorised.

/// a · b for finite numbers.
template <typename Real>
std::complex<Real> product(std::complex<Real> a, std::complex<Real> b) {
    return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}

/// a[k] *= b[k]. The spans have the same size.
template <typename Real>
void multiplyInPlace(std::span<std::complex<Real>> a, std::span<const std::complex<Real>> b) {
    for (std::size_t k = 0; k < a.size(); ++k) a[k] = product(a[k], b[k]);
}

}  // namespace volvelle
