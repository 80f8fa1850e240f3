#pragma once

#include "Run/Plan.h"

#include <string>

namespace volvelle {

/// Where the plan states no rate: the conductor puts that of its audio path into the plan first.
constexpr double defaultSampleRateHz = 48000;
constexpr double defaultSweepS = 3;  ///< common practice

/// The sweep that one drive is excited with.
struct ResolvedSweep {
    double startHz, endHz;
    double wishedDurationS;  ///< a synchronised sweep takes the nearest that starts at a zero
                             ///< (Signal/Excitation.h)
    double peakV;  ///< instantaneous, before a section's gain; volts of the unit's drive quantity, full
                   ///< scale where that is digital
    double peakFullScale;  ///< the same as a sample value, 0 to 1
};

/// The sweep of a drive of the plan: what is stated, else the intersection of its sections' bands with 20 Hz
/// to 20 kHz (or 0.45 of the sample rate), 3 s, and the greatest level that its sections' voltage limits and
/// the converter's full scale allow once a section's gain is added. Throws Error{input} at `source` with a
/// JSON pointer where the stated sweep leaves a section's band or voltage limit or the converter's range,
/// where the bands have nothing in common, where a section without a band needs edges that the drive does not
/// state, where a section without a limit needs a level that the drive does not state, and where what a
/// sample value means in volts is not stated (but for a digital drive quantity). drive: one of plan.drives.
ResolvedSweep resolvedSweep(const Plan& plan, const DrivePlan& drive, const std::string& source = "plan");

}  // namespace volvelle
