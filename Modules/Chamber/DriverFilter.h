#pragma once

#include <complex>

namespace volvelle {

/// One branch of a crossover. Linkwitz-Riley of order 2 or 4 (two Butterworth filters in cascade; Linkwitz,
/// J. Audio Eng. Soc. 24(1), 1976), or Butterworth of order 1 to 4. 0 Hz: none.
struct CrossoverFilter {
    enum class Kind { linkwitzRiley, butterworth };
    Kind kind = Kind::linkwitzRiley;
    int order = 4;
    double hz = 0;
};

/// What lies between the voltage at a section's terminals and the acceleration of a cap.
struct DriverFilter {
    double accelerationPerVolt = 60;        ///< m/s² per V above the resonance
    double resonanceHz = 0, quality = 0.7;  ///< high-pass of second order (closed box); 0 Hz: none
    double cutoffHz = 0;                    ///< low-pass of second order, Butterworth; 0: none
    CrossoverFilter highPass, lowPass;
    double gainDb = 0;  ///< of the unit's own processing
    double delayS = 0;
    bool reversed = false;
};

/// Acceleration per volt over accelerationPerVolt, at a frequency of 0 Hz or more, following e^(+jωt). Throws
/// Error{input} for an order that the kind does not have.
std::complex<double> relativeResponse(const DriverFilter& filter, double frequencyHz);

/// Seconds after which the filter's answer to an impulse has decayed to 1e-8 of its beginning.
double settlingS(const DriverFilter& filter);

}  // namespace volvelle
