#pragma once

#include "Run/Capture.h"
#include "Run/Plan.h"

#include <string>
#include <vector>

namespace volvelle {

/// What the samples of a drive are.
enum class CaptureForm {
    recording,        ///< microphone (and perhaps loopback) during an excitation
    impulseResponse,  ///< impulse responses that begin at the instant of excitation
    textResponse      ///< level in dB and phase in degrees on a frequency grid, from text files
};

/// Of what kind time zero is (coherent sums need a common one).
enum class TimeZero {
    loopback,        ///< the excitation in the loopback channel: common to all captures
    excitationFile,  ///< the first sample of each file: common only if player and recorder are locked
    impulse,         ///< the files begin at the instant of excitation
    textPhase        ///< whatever the text files' phases refer to
};

enum class SampleType { int32, float32 };

/// The excitation as it was played: 1.0 is full scale.
struct ExcitationRecord {
    std::vector<float> samples;
    double sampleRateHz = notStated;
    std::string sourceFile;
};

/// One drive: its captures all have the same form, channels, rate and length.
struct DriveRecord {
    std::string name;
    CaptureForm form = CaptureForm::recording;
    double sampleRateHz = notStated;
    SampleType sampleType = SampleType::int32;
    int bitsPerSample = 0;                  ///< of the files that it came from
    std::vector<std::string> channelRoles;  ///< "microphone", "loopback"
    std::size_t samplesPerChannel = 0;      ///< for textResponse: number of frequencies
    std::vector<double> frequencyHz;        ///< textResponse only
    std::vector<Capture> captures;
    ExcitationRecord excitation;  ///< recordings only
};

struct MicrophoneResponse {
    std::vector<double> frequencyHz, levelDb, phaseDeg;  ///< phaseDeg is empty where the file has none
    std::string sourceFile;
    bool isStated() const { return !frequencyHz.empty(); }
};

/// Instantaneous values at sample value 1.0.
struct Calibration {
    double pascalPerFullScale = notStated;
    double voltsPerFullScale = notStated;
    double loopbackVoltsPerFullScale = notStated;
    MicrophoneResponse microphone;
};

struct Provenance {
    std::string programVersion;
    std::string commandLine;
    std::string utc;        ///< when the run file was made
    std::string parentRun;  ///< fingerprint
};

struct Event {
    std::string utc, text;
};

/// Everything that a run holds except the samples themselves.
struct RunRecord {
    Plan plan;  ///< as carried out
    Calibration calibration;
    TimeZero timeZero = TimeZero::excitationFile;
    double nominalDistanceM = notStated;
    double unitSizeM = notStated;
    Air air = Air::notStated();
    std::vector<DriveRecord> drives;
    std::vector<Event> events;
    Provenance provenance;
};

/// Up to where far-field conditions hold at a distance r for a unit of largest dimension D: 4 r c / (π D²),
/// the frequency at which r is the Rayleigh distance π D² / (4 λ) (handbook). 20 °C where the air is not
/// stated; not a number where size or distance is not.
double farFieldLimitHz(double distanceM, double sizeM, const Air& air);

/// The plan's drives that a name may mean: the one called so, else those that play these sections:
/// `rear+front` is `front+rear`, and is also a drive of these sections with a name of its own.
std::vector<const DrivePlan*> plannedDrives(const Plan& plan, const std::string& name);

/// The same, or nullptr where there is none or more than one.
const DrivePlan* plannedDrive(const Plan& plan, const std::string& name);

/// The drive of that name, or of these sections (see plannedDrives). Throws Error{usage} that lists the
/// drives there are, and where more than one plays these sections.
const DriveRecord& driveNamed(const RunRecord& run, const std::string& name);

/// In the run's order.
std::vector<std::string> driveNames(const RunRecord& run);

}  // namespace volvelle
