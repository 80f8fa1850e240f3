#pragma once

#include "Quality/OctaveBlocks.h"

namespace volvelle {

/// A stretch of time in an impulse, in seconds after time zero.
struct TimeSpan {
    double fromS, toS;
    double lengthS() const { return toS - fromS; }
};

/// Steady noise within a stretch in energy per second: the median over groups of blocks, so that a decay at
/// its beginning or a short disturbance does not count. Not a number where the stretch is too short.
double steadyNoise(const OctaveBlocks& blocks, const TimeSpan& span);

/// Time after `arrivalS` at which the decay meets the noise (energy per second): a straight line through the
/// last 25 dB of the decay's level above the noise, followed to the noise. At most latestS - arrivalS. Not a
/// number where the octave's energy does not rise 10 dB above the noise.
double decayTime(const OctaveBlocks& blocks, double arrivalS, double latestS, double noisePerSecond);

/// The most that short windows within a stretch rise above the noise.
struct Rise {
    double ratio = 0;        ///< of the window's energy to the steady noise's
    double atS = 0;          ///< centre of gravity of that window
    double energy = 0;       ///< in that window, noise included
    double independent = 1;  ///< number of independent values (bandwidth times time) that a window holds
};
Rise greatestRise(const OctaveBlocks& blocks, const TimeSpan& span, double windowS, double noisePerSecond,
                  double centreHz);

}  // namespace volvelle
