#pragma once

#include "Sphere/Direction.h"

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

namespace volvelle {

/// A part of the sphere's surface that vibrates with uniform radial velocity.
struct Cap {
    Direction axis;
    double halfAngleDeg;  ///< 0 < a <= 180
};

/// A rigid sphere and the air about it.
struct RigidSphere {
    double radiusM;
    double speedOfSound;  ///< m/s
    double density;       ///< kg/m³
};

/// Exact field of vibrating caps on a rigid sphere at one distance from its centre, near or far, by the
/// series of Legendre polynomials and spherical Hankel functions of Morse & Ingard, Theoretical Acoustics
/// (1968) section 7.2, written for e^(+jωt), so that outgoing waves are h⁽²⁾:
///
///     p(r, θ) = -jρc Σ U_n h_n(kr) / h_n'(ka) P_n(cos θ),   U_n = [P_(n-1)(cos α) - P_(n+1)(cos α)] / 2, U_0
///     = (1 - cos α) / 2
///
/// for unit radial velocity of a cap of half-angle α, θ from the cap's axis. Fields of several caps add up.
/// The radial factors are computed once, until what is left out is below 1e-15 of the largest contribution of
/// a small cap; then each direction costs one short sum for every frequency. Checked up to ka = 120 and kr =
/// 2000. Immutable; thread-safe.
class SphereField {
public:
    /// frequenciesHz: 0 or more (at 0 the pressure is 0); distanceM: greater than the radius, or infinity for
    /// the far field. Throws Error{input} for values out of range, and for distances so close to the surface
    /// that the series does not converge in 200 000 terms.
    SphereField(const RigidSphere& sphere, std::vector<double> frequenciesHz, double distanceM);

    const std::vector<double>& frequenciesHz() const { return frequenciesHz_; }
    double distanceM() const { return distanceM_; }
    std::size_t termCount(std::size_t frequency) const { return begin_[frequency + 1] - begin_[frequency]; }

    /// Pressure in Pa per m/s of the cap's radial velocity, one value for each frequency, in a direction from
    /// the centre. At infinite distance: the limit of p r e^(+jkr), in Pa m per m/s.
    void pressure(const Cap& cap, const Direction& where, std::span<std::complex<double>> out) const;
    std::vector<std::complex<double>> pressure(const Cap& cap, const Direction& where) const;

private:
    void appendTerms(double frequencyHz);

    RigidSphere sphere_;
    std::vector<double> frequenciesHz_;
    double distanceM_;
    std::vector<std::size_t> begin_;           ///< where each frequency's terms begin, and the end
    std::vector<std::complex<double>> terms_;  ///< -jρc h_n(kr) / h_n'(ka)
    std::size_t longest_ = 0;
};

/// Legendre polynomials P_0(x) ... P_(count-1)(x), |x| <= 1.
std::vector<double> legendre(double x, std::size_t count);

/// U_0 ... U_(count-1): expansion in Legendre polynomials of a velocity of 1 within the half-angle, 0
/// outside.
std::vector<double> capCoefficients(double halfAngleDeg, std::size_t count);

/// Volume velocity in m³/s of a cap that moves with 1 m/s: 2π a² (1 - cos α).
double volumeVelocity(const RigidSphere& sphere, const Cap& cap);

}  // namespace volvelle
