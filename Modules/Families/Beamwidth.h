#pragma once

#include <span>
#include <vector>

namespace volvelle {

/// Width in degrees of the beam about 0° between the nearest angles on both sides at which the level is 6 dB
/// under that at 0°, linear in dB between measured angles. Infinity: not reached on a side (an orbit is
/// closed: 180° is the end of both). Not a number: no level at 0° or a gap before the point. anglesDeg:
/// growing, -180 < a <= 180. levelDb: one per angle.
double beamwidthDeg(std::span<const double> anglesDeg, std::span<const double> levelDb);

}  // namespace volvelle
