#include "Acoustics/SphereField.h"

#include "Text/Error.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>

namespace volvelle {
namespace {

using Complex = std::complex<double>;

constexpr double leftOut = 1e-15;
constexpr std::size_t mostTerms = 200000;
constexpr double radPerDeg = std::numbers::pi / 180;

/// Products and quotients of finite numbers, without the library's care for infinities.
Complex product(Complex a, Complex b) {
    return {a.real() * b.real() - a.imag() * b.imag(), a.real() * b.imag() + a.imag() * b.real()};
}
Complex inverse(Complex a) {
    const double norm = std::norm(a);
    return {a.real() / norm, -a.imag() / norm};
}

[[noreturn]] void refuse(const std::string& problem, const std::string& advice) {
    throw Error(ErrorKind::input, problem, "field of a sphere", advice);
}

void check(const RigidSphere& sphere, const std::vector<double>& frequenciesHz, double distanceM) {
    for (const double value : {sphere.radiusM, sphere.speedOfSound, sphere.density})
        if (!(value > 0) || !std::isfinite(value))
            refuse("radius, speed of sound and density must be greater than zero",
                   "Check the sphere and the air");
    for (const double f : frequenciesHz)
        if (!(f >= 0) || !std::isfinite(f))
            refuse("a frequency is negative or not finite", "Give frequencies from 0 Hz on");
    if (!(distanceM > sphere.radiusM))
        refuse("the distance must be greater than the sphere's radius",
               "Give the distance from the sphere's centre in metres");
}

/// Ratio h_n(x) / h_(n-1)(x) of spherical Hankel functions of the second kind, for growing n. Stable upwards;
/// neither over- nor underflows. For infinite x the ratio is j.
class HankelRatio {
public:
    explicit HankelRatio(double x) : x_(x), value_(1 / x, 1) {}  // n = 1; 1 / infinity is 0
    Complex value() const { return value_; }
    void advance() { value_ = (2 * ++n_ - 1) / x_ - inverse(value_); }

private:
    double x_;
    double n_ = 1;
    Complex value_;
};

}  // namespace

SphereField::SphereField(const RigidSphere& sphere, std::vector<double> frequenciesHz, double distanceM)
    : sphere_(sphere), frequenciesHz_(std::move(frequenciesHz)), distanceM_(distanceM) {
    check(sphere_, frequenciesHz_, distanceM_);
    begin_.push_back(0);
    for (const double f : frequenciesHz_) {
        if (f > 0) appendTerms(f);
        begin_.push_back(terms_.size());
        longest_ = std::max(longest_, begin_.back() - begin_[begin_.size() - 2]);
    }
}

void SphereField::appendTerms(double frequencyHz) {
    const double k = 2 * std::numbers::pi * frequencyHz / sphere_.speedOfSound;
    const double a = sphere_.radiusM, ka = k * a;
    const bool far = std::isinf(distanceM_);
    const double ratio = far ? 0 : a / distanceM_;
    HankelRatio atSurface(ka), atPoint(k * distanceM_);
    // radial: h_n(kr) / h_n(ka), for the far field times r e^(+jkr)
    Complex radial = far ? std::polar(a, ka) : std::polar(ratio, -k * (distanceM_ - a));
    Complex slope(-1 / ka, -1);  // h_n'(ka) / h_n(ka)
    const Complex impedance(0, -sphere_.density * sphere_.speedOfSound);
    double largest = 0;
    for (std::size_t n = 0;; ++n) {
        const double order = static_cast<double>(n);
        const Complex term = product(product(impedance, radial), inverse(slope));
        terms_.push_back(term);
        const double size = (2 * order + 1) * std::abs(term);  // |U_n| <= (2n + 1) U_0, |P_n| <= 1
        largest = std::max(largest, size);
        if (order > ka && size < leftOut * (1 - ratio) * largest) return;
        if (n == mostTerms)
            refuse("the point lies too close to the sphere's surface",
                   "Choose a point further from the surface");
        if (n > 0) {
            atSurface.advance();
            atPoint.advance();
        }
        radial = product(radial, product(atPoint.value(), inverse(atSurface.value())));
        slope = inverse(atSurface.value()) - (order + 2) / ka;
    }
}

void SphereField::pressure(const Cap& cap, const Direction& where,
                           std::span<std::complex<double>> out) const {
    if (out.size() != frequenciesHz_.size())
        throw Error(ErrorKind::bug, "one value for each frequency is needed", "field of a sphere",
                    "Please report this");
    const double angle = angleBetweenDeg(cap.axis, where) * radPerDeg;
    const std::vector<double> polynomials = legendre(std::cos(angle), longest_);
    std::vector<double> weights = capCoefficients(cap.halfAngleDeg, longest_);
    for (std::size_t n = 0; n < longest_; ++n) weights[n] *= polynomials[n];
    for (std::size_t f = 0; f < out.size(); ++f) {
        double real = 0, imaginary = 0;
        const Complex* term = terms_.data() + begin_[f];
        for (std::size_t n = 0, count = termCount(f); n < count; ++n) {
            real += weights[n] * term[n].real();
            imaginary += weights[n] * term[n].imag();
        }
        out[f] = {real, imaginary};
    }
}

std::vector<std::complex<double>> SphereField::pressure(const Cap& cap, const Direction& where) const {
    std::vector<Complex> out(frequenciesHz_.size());
    pressure(cap, where, out);
    return out;
}

std::vector<double> legendre(double x, std::size_t count) {
    std::vector<double> p(count);
    if (count > 0) p[0] = 1;
    if (count > 1) p[1] = x;
    for (std::size_t n = 2; n < count; ++n) {
        const double order = static_cast<double>(n);
        p[n] = ((2 * order - 1) * x * p[n - 1] - (order - 1) * p[n - 2]) / order;
    }
    return p;
}

std::vector<double> capCoefficients(double halfAngleDeg, std::size_t count) {
    if (!(halfAngleDeg > 0 && halfAngleDeg <= 180))
        refuse("a cap's half-angle must lie between 0 and 180 degrees", "Check the caps");
    const double half = std::sin(halfAngleDeg * radPerDeg / 2);
    const std::vector<double> p = legendre(std::cos(halfAngleDeg * radPerDeg), count + 1);
    std::vector<double> u(count);
    if (count > 0) u[0] = half * half;
    for (std::size_t n = 1; n < count; ++n) u[n] = (p[n - 1] - p[n + 1]) / 2;
    return u;
}

double volumeVelocity(const RigidSphere& sphere, const Cap& cap) {
    const double half = std::sin(cap.halfAngleDeg * radPerDeg / 2);
    return 4 * std::numbers::pi * sphere.radiusM * sphere.radiusM * half * half;
}

}  // namespace volvelle
