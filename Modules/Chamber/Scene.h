#pragma once

#include "Acoustics/SphereField.h"
#include "Chamber/DriverFilter.h"
#include "Run/Plan.h"

#include <limits>
#include <string>
#include <vector>

namespace volvelle {

enum class NoiseColour { white, pink };

/// x + a2 x² + a3 x³, without memory: of the voltage before the driver's filter, or of the acceleration
/// behind it, counted in the volts that make it in the pass band. Coefficients per V and per V².
struct DriverNonlinearity {
    enum class Place { voltage, acceleration };
    double a2PerV = 0, a3PerV2 = 0;
    Place place = Place::voltage;
    bool isLinear() const { return a2PerV == 0 && a3PerV2 == 0; }
};

/// A cap on the sphere that one section moves.
struct SceneDriver {
    std::string section;
    int outputChannel = 0;  ///< that it hears; 0: the first of its section
    Cap cap{{0, 0}, 25};
    DriverFilter filter;
    DriverNonlinearity nonlinearity;
};

/// A further path of the sound from the unit to the microphone.
struct SceneReflection {
    double delayS;   ///< after the direct sound
    double gainDb;   ///< relative to the direct sound, far below belowHz
    double belowHz;  ///< low-pass, Butterworth of second order: above it the chamber absorbs
};

/// Noise of the room or of the microphone: total level of white noise up to half the sample rate, or of pink
/// noise from 20 Hz to 20 kHz, dB re 20 µPa. Minus infinity: none.
struct SceneNoise {
    double levelDb = -std::numeric_limits<double>::infinity();
    NoiseColour colour = NoiseColour::white;
};

/// From samples to volts and back.
struct SceneConverters {
    double latencyS = 0;                                        ///< of output and input together
    double startJitterS = 0;                                    ///< each shot starts up to this much later
    int bits = 24;                                              ///< of the samples recorded; 0: not quantised
    double noiseDb = -std::numeric_limits<double>::infinity();  ///< rms of each input, dB re full scale
    double recorderOffsetPpm = 0;  ///< by which the recorder's clock runs faster than the player's
    double loopbackErrorDb = 0;    ///< of the loopback against the plan's calibration
};

struct SceneTable {
    double speedDegPerS = 10;
    double accelerationDegPerS2 = 0;       ///< 0: at once
    double ringDeg = 0, ringDecayS = 0.3;  ///< swings on after arriving: amplitude and time constant
    double positionErrorDeg = 0;           ///< rms; drawn for each pose, unseen by the read-back
    double resolutionDeg = 0;              ///< it stands at multiples of this; 0: anywhere
    bool readsBack = true;
    double lowestDeg = -180, highestDeg = 180;
    bool hasTilt = false;
    double lowestTiltDeg = -90, highestTiltDeg = 90;
    double toleranceDeg = 0.2;
};

/// What happens in a laboratory.
enum class FaultKind {
    // of the audio device: the shot ends with an outcome
    droppedBlock,  ///< samples lost
    deviceGone,    ///< from then on, for `times` shots
    stalled,       ///< the device asks for no more samples
    rateChange,    ///< it runs at another rate
    // heard, but not reported
    sectionDead,
    sectionsSwapped,
    sectionReversed,
    bang,               ///< a door during the sweep: a click of amountDb dB peak (re 20 µPa)
    noiseBurst,         ///< 0.3 s of white noise, amountDb dB rms (re 20 µPa)
    loopbackUnplugged,  ///< only the converter's noise
    clipping,           ///< the microphone's gain is up, the peak amountDb beyond full scale
    levelTooHigh,       ///< the unit plays amountDb louder
    samplesLost,        ///< 64 samples of all inputs, without a word of the device
    // of the table
    tableStalls,      ///< halfway
    tableOvershoots,  ///< stands amountDeg beyond
    tableMisses,      ///< stands amountDeg short
    tableSilent,      ///< no answer
    powerLoss,        ///< no answer, and no knowledge of zero afterwards
    tableSlips,       ///< turns amountDeg less than it believes, until it is sent home
    limitRefused      ///< it says that the target lies outside its limits
};

/// A fault on request. Exactly one of atShot, atMove, atTableDeg and atLabel says when.
struct SceneFault {
    FaultKind kind;
    int atShot = 0, atMove = 0;                                    ///< the n-th shot or move, from 1
    double atTableDeg = std::numeric_limits<double>::quiet_NaN();  ///< shots and moves at this table angle
    std::string atLabel;                                           ///< the shot of this label
    int times = 1;  ///< shots or moves that it lasts from then on; 0: for good
    double amountDb = std::numeric_limits<double>::quiet_NaN();  ///< not a number: the kind's own
    double amountDeg = std::numeric_limits<double>::quiet_NaN();
    std::string section, otherSection;

    bool isOfAudio() const { return kind <= FaultKind::samplesLost; }
};

/// A simulated chamber with a unit in it: what a plan's object "simulation" says. All invented.
struct Scene {
    double sphereRadiusM = 0.15;  ///< the unit's body; its centre is the reference point
    std::vector<SceneDriver> drivers;
    SceneNoise microphoneNoise, background;
    SceneConverters converters;
    std::vector<SceneReflection> reflections;
    double temperatureDriftCPerHour = 0;
    bool airAbsorbs = false;  ///< ISO 9613-1, its gain only
    SceneTable table;
    double attendantS = 0;          ///< that turning the unit takes
    double remountingErrorDeg = 0;  ///< rms, about the table's axis; drawn once for the side
    std::vector<SceneFault> faults;
    int seed = 1;  ///< of everything that chance decides
};

constexpr int highestSeed = 999'999'999;

/// The same object with another seed, so that the plan of a run says which it was.
std::string sceneWithSeed(const std::string& json, int seed);

/// Reads the object "simulation" of a plan. source: the plan's file; pointer: where the object stands in it
/// ("/simulation"), for messages. Throws Error{input}.
Scene parseScene(const std::string& json, const std::string& source, const std::string& pointer);

/// What a scene and its plan have to say alike: names of sections, channels, a distance, a calibration of the
/// microphone. Throws Error{input} at `source`.
void checkScene(const Scene& scene, const Plan& plan, const std::string& source);

/// The word for a fault in a plan: "dropped-block".
std::string faultName(FaultKind kind);

}  // namespace volvelle
