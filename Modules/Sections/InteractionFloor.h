#pragma once

#include <span>

namespace volvelle {

/// What one drive's capture adds, at one position and frequency, to the squared difference that would be seen
/// of sections that do not interact. Not a number: not known, and nothing added.
struct FloorShare {
    double power;     ///< |p|² in Pa², the section's setting included
    double noise;     ///< expected squared pressure of the noise in it
    double repeats;   ///< expected squared departure of repeats; holds noise as well
    double drift;     ///< expected squared drift since the combined drive's capture, relative to |p|²
                      ///< (driftShare())
    double airPhase;  ///< rad by which its flight differs from the combined drive's (airPhase())
};

/// Σ over the drives of
///     max(noise, repeats) + drift · |p|² + |p|² (2 sin(φ/2))²,
/// the chord that a turn by φ cuts off, φ held at π: contributions that know nothing of each other add as
/// squares. Drift and air overlap where checks were made in changing air: the floor is then a little high.
double floorPower(std::span<const FloorShare> shares);

/// What of a drift is expected between two captures: it grows in proportion to time, so that of the squared
/// departure of axis checks (relative to the axis) over spanS, (apartS / spanS)² is left, and all of it
/// beyond the span and where a time is not stated.
double driftShare(double squaredDeparture, double apartS, double spanS);

/// Phase by which sound over a distance r turns for a change of temperature by ΔT: 2πf · τ · ΔT / (2T), with
/// τ = r/c and c ∝ √T (ISO 9613-1:1993), T in kelvin midway. Domain: |ΔT| well below T. Not a number where a
/// temperature is not stated.
double airPhase(double frequencyHz, double distanceM, double temperatureC, double otherTemperatureC);

}  // namespace volvelle
