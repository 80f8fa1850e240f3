#pragma once

#include "Response/Recipe.h"
#include "Run/RunRecord.h"

#include <complex>
#include <functional>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// What the levels of a drive refer to.
struct ReferenceInput {
    double value;           ///< 2.83 V at terminals, else 1 V or 1 full scale
    std::string statement;  ///< "2.83 V at the terminals of front"
};
ReferenceInput referenceInput(const RunRecord& run, const DriveRecord& drive);

/// Turns spectra of a drive's captures (full scale per full scale) into pressures in Pa at 1 m for the
/// reference input: calibration, the microphone's response, the shaping filter, distance, and air.
class Corrections {
public:
    /// shape: response of the filter that the impulses went through. Throws Error{input} for an air
    /// correction of a run whose air is not stated.
    Corrections(const RunRecord& run, const DriveRecord& drive, const Recipe& recipe,
                std::span<const double> frequenciesHz,
                const std::function<std::complex<double>(double frequencyHz)>& shape);

    /// spectrum · correction, in place. Thread-safe.
    void apply(const Capture& capture, std::span<std::complex<double>> spectrum) const;

    const std::vector<std::string>& notes() const { return notes_; }

private:
    double airGain(const Capture& capture, double frequencyHz) const;

    std::vector<double> frequenciesHz_;
    std::vector<std::complex<double>> factor_;
    Recipe::AirCorrection air_;
    std::string airField_;  ///< of the recipe, for messages
    Air runAir_;
    std::vector<std::string> notes_;
};

/// The microphone's response at a frequency as a complex factor: linear interpolation of level and phase (the
/// shorter way round) over logarithmic frequency, held beyond its ends.
std::complex<double> microphoneFactor(const MicrophoneResponse& response, double frequencyHz);

}  // namespace volvelle
