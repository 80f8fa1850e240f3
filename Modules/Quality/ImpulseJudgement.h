#pragma once

#include "Quality/DirectSound.h"
#include "Quality/FirstArrival.h"
#include "Quality/OctaveBlocks.h"
#include "Quality/OctaveDecay.h"
#include "Signal/Excitation.h"

#include <complex>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// When an excitation plays, in seconds after time zero.
struct ExcitationTimes {
    double beginS = 0, endS = 0;
    std::optional<ExponentialSweep> sweep;

    /// When the sweep passes a frequency; for other excitations when they end.
    double passesS(double frequencyHz) const;
};
ExcitationTimes excitationTimes(std::span<const float> samples, double sampleRateHz,
                                const std::optional<ExponentialSweep>& sweep);

/// An impulse response and what is known of how it came about.
struct ImpulseFacts {
    std::span<const float> impulse;  ///< circular where `circular` says so; else padded with zeros
    std::span<const std::complex<float>> spectrum;
    double sampleRateHz = 0;
    double recordedS = 0;  ///< of the recording, or of an impulse response before padding
    double delayS = 0;     ///< of time zero within the recording
    Band band{};
    bool circular = true;
    bool fadedIn = true,
         fadedOut = true;  ///< whether the recording's ends were faded before it was deconvolved
    ExcitationTimes times;

    double durationS() const { return static_cast<double>(impulse.size()) / sampleRateHz; }
};

/// What an impulse response says of its capture. Per judged octave; not a number where unknown.
struct ImpulseJudgement {
    std::optional<FirstArrival> arrival;
    bool noiseFromBefore = false;  ///< the noise was taken from ahead of the arrival, else after the decay
    std::vector<double> noise,
        energy;  ///< energy per second of the noise, and of the linear impulse without noise
    std::vector<double> decayS;
    double residueDb;  ///< energy per second where nothing should be re the linear impulse's energy
    DirectSound direct;
    /// A short noise that stands out, where one was found: when in the recording, how far, in which octave.
    struct Disturbance {
        double atS, riseDb;
        std::size_t octave;
    };
    std::optional<Disturbance> disturbance;
};

/// riseDb: least rise of a short noise above the steady noise.
ImpulseJudgement judgeImpulse(const ImpulseFacts& facts, const OctaveBank& bank, OctaveBank::Workspace& w,
                              double riseDb);

/// Levels and phases of the first 0.12 s from an arrival on.
DirectSound directSound(const ImpulseFacts& facts, double arrivalS);

}  // namespace volvelle
