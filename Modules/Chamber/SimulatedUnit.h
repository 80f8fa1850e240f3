#pragma once

#include "Acoustics/SphereField.h"
#include "Chamber/CoarseField.h"
#include "Chamber/DriverFilter.h"
#include "Signal/Aligned.h"
#include "Signal/FourierTransform.h"
#include "Sphere/Direction.h"

#include <complex>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// A section of a simulated unit: a cap whose acceleration follows the voltage through a driver's filter.
struct SimulatedSection {
    std::string name;
    Cap cap;
    double accelerationPerVolt;   ///< m/s² per V above the resonance
    double resonanceHz, quality;  ///< high-pass of second order (closed box); 0 Hz: none
    double cutoffHz;              ///< low-pass of second order, Butterworth; 0: none
    double delayS;
    bool reversed;
};

/// How its sound is recorded.
struct SimulatedChain {
    double sampleRateHz;
    double distanceM;
    double pascalPerFullScale, voltsPerFullScale;
    double noisePa;         ///< rms of white microphone noise
    double secondHarmonic;  ///< of the recorded sound, relative to its fundamental at the largest amplitude
    double latencyS;        ///< of the converters, of microphone and loopback alike
    double loopbackGain;    ///< full scale recorded per full scale played
    double loopbackNoise;   ///< rms in full scale
};

/// Renders recordings of a unit on a rigid sphere by its exact field (Acoustics). An invented unit in an
/// ideal chamber: no reflections, no table. SimulatedChamber is the whole of it; this is for recordings that
/// were made elsewhere. Thread-safe.
class SimulatedUnit {
public:
    /// excitation: what is played at full scale 1.0; recordingLength: samples of each recording, to contain
    /// the decay.
    SimulatedUnit(const RigidSphere& sphere, std::vector<SimulatedSection> sections,
                  const SimulatedChain& chain, std::span<const double> excitation,
                  std::size_t recordingLength);

    /// The sections with these numbers playing together, heard in a direction. Microphone and loopback
    /// samples at full scale 1.0. seed: of the noise; jitterS is added to the latency.
    struct Recording {
        std::vector<double> microphone, loopback;
    };
    Recording record(std::span<const std::size_t> sections, const Direction& direction, std::uint64_t seed,
                     double jitterS) const;

private:
    using Spectrum = AlignedVector<std::complex<double>>;

    std::vector<double> delayed(Spectrum spectrum, double delayS) const;

    RigidSphere sphere_;
    std::vector<SimulatedSection> sections_;
    SimulatedChain chain_;
    std::size_t recordingLength_;
    RealTransform<double> transform_;
    CoarseField field_;
    Spectrum excitation_;
    std::vector<Spectrum> accelerations_;  ///< of each section, for the excitation
};

}  // namespace volvelle
