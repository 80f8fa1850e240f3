#pragma once

#include <span>
#include <vector>

namespace volvelle {

/// Width in degrees of the beam about 0° between the nearest angles on both sides at which the level is 6 dB
/// under that at 0°, linear in dB between measured angles. Infinity: not reached on a side (an orbit is
/// closed: 180° is the end of both). Not a number: no level at 0°, or before the point a level that is not
/// known, a step wider than widestStepDeg, or the end of what was measured. anglesDeg: growing, -180 < a <=
/// 180. levelDb: one per angle.
double beamwidthDeg(std::span<const double> anglesDeg, std::span<const double> levelDb,
                    double widestStepDeg = 360);

/// How far apart measured angles of an orbit may lie before one counts as missing: its usual step (the
/// median), and at least the 10° of CTA-2034-A. Orbits finer than that may lack single angles.
double widestStepDeg(std::span<const double> anglesDeg);

}  // namespace volvelle
