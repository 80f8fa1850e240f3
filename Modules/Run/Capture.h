#pragma once

#include "Quantities/Air.h"
#include "Sphere/Direction.h"

#include <cmath>
#include <limits>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace volvelle {

constexpr double notStated = std::numeric_limits<double>::quiet_NaN();

/// A value, or what is usual where it is not stated.
inline double orElse(double stated, double usual) {
    return std::isnan(stated) ? usual : stated;
}

enum class CaptureKind { position, axisCheck, lowSweep, background };
enum class CaptureState { kept, superseded, doubtful };
enum class NoiseSource { unknown, silence, tail };

/// Centres of the octave bands in which captures are judged: 31.5 Hz ... 16 kHz nominal, exact values of IEC
/// 61260-1.
const std::vector<double>& judgedOctavesHz();

/// What was found when the capture was judged on its way in. Not a number: unknown.
struct CaptureQuality {
    double clippedSamples =
        notStated;  ///< longest run of consecutive samples at full scale (integer files only)
    NoiseSource noiseSource = NoiseSource::unknown;
    std::vector<double> noiseDb;  ///< per judged octave, dB re 20 µPa
    std::vector<double> decayS;   ///< per judged octave: from the arrival to where the decay meets the noise
    std::vector<double>
        impulseNoiseDb;  ///< per judged octave: noise energy of one second of impulse re the octave's energy
    double residueDb = notStated;       ///< energy ahead of the highest kept harmonic re the linear impulse
    double loopbackDelayS = notStated;  ///< of the excitation within the loopback channel
    double arrivalS = notStated;        ///< of the first arrival after time zero
    double polarity = notStated;        ///< of the first arrival: +1 or -1
    double peakPa = notStated;          ///< largest instantaneous pressure of the recording
    double driftDb = notStated, driftS = notStated;  ///< axis checks: level and delay against the drive's first
                                                     ///< capture on its axis
    double repeatDifferenceDb =
        notStated;  ///< largest third-octave level difference to the first repeat, 100 Hz - 10 kHz
};

/// What is known of one capture beside its samples. Strings that are empty are stored as 'not stated'.
struct Capture {
    std::string id;  ///< stable within the run, for instance "front/horizontal:50/upright/1"
    CaptureKind kind = CaptureKind::position;
    Direction direction;          ///< true direction from the reference point
    std::optional<Orbit> orbit;   ///< the orbit that it was measured on, where it was
    double angleDeg = notStated;  ///< commanded angle on that orbit
    double tableDeg = notStated, tiltDeg = notStated;              ///< commanded pose of the table, as it counts
    double readBackDeg = notStated, tiltReadBackDeg = notStated;  ///< the table's own word for it
    Stance stance = Stance::upright;
    double distanceM = notStated;  ///< microphone to reference point along this direction
    int repeat = 1;
    int attempt = 1;
    CaptureState state = CaptureState::kept;
    std::string reason;  ///< why it is doubtful or superseded
    std::string utc;  ///< when it was made (ISO 8601); the one to compare captures by
    /// Clock of the computer, in seconds, never set back; of an origin of its own for every sitting of a run
    /// (each start of the program, so also after --resume): compare captures of one sitting only.
    double monotonicS = notStated;
    Air air = Air::notStated();
    CaptureQuality quality;
    std::string sourceFile;  ///< the file that it was read from, as the manifest names it
    std::vector<std::pair<std::string, std::string>> notes;
};

/// "horizontal:50" and so on: the angle that it was sent to on the orbit on which it was measured, also where the
/// reference point lies off the rotation axis; else its true direction.
std::string positionName(const Capture& capture);

}  // namespace volvelle
