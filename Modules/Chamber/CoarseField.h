#pragma once

#include "Acoustics/SphereField.h"
#include "Sphere/Direction.h"

#include <array>
#include <complex>
#include <cstddef>
#include <functional>
#include <span>
#include <vector>

namespace volvelle {

/// Weights of Lagrange's interpolation through ten equally spaced points.
struct TenPoints {
    static constexpr std::size_t count = 10;
    static constexpr std::size_t before = 4;  ///< points before the one at or before the place

    /// part: the place between the point at or before it (0) and the next (1).
    static void weights(double part, std::span<double, count> out);
};

/// The exact field of caps at one distance, sampled so densely in frequency that interpolation with TenPoints
/// gives it everywhere to 1e-8 of itself.
///
/// What is sampled is smooth: pressure over the cap's acceleration, without the way from the surface. The
/// field depends on frequency over speed of sound, so one table serves air of any temperature. Immutable;
/// thread-safe.
class CoarseField {
public:
    /// The field up to highestHz at the sphere's speed of sound (of slightly less in slower air).
    CoarseField(const RigidSphere& sphere, double highestHz, double distanceM);

    double stepHz() const { return stepHz_; }
    double distanceM() const { return field_.distanceM(); }

    /// The delay in metres of way that the samples lack.
    double wayM() const { return wayM_; }

    /// Samples at -before · stepHz ... on, in Pa per m/s². gain: a factor for each frequency, for what the
    /// air takes; may be empty.
    std::vector<std::complex<double>> samples(const Cap& cap, const Direction& where,
                                              const std::function<double(double frequencyHz)>& gain) const;

    /// The field at any frequency from 0 to highestHz, from its samples, the way included: what interpolation
    /// gives at one frequency.
    std::complex<double> at(std::span<const std::complex<double>> samples, double frequencyHz) const;

private:
    RigidSphere sphere_;
    double stepHz_, wayM_;
    SphereField field_;
};

}  // namespace volvelle
