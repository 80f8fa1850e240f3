#pragma once

#include "Quantities/Air.h"

#include <array>
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace volvelle {

enum class DriveQuantity { unknown, terminalVolts, inputVolts, digitalFullScale };

struct SectionPlan {
    std::string name;
    std::vector<int> outputChannels;
    double gainDb = std::numeric_limits<double>::quiet_NaN();
    double delayS = std::numeric_limits<double>::quiet_NaN();
    bool reversed = false;
    double lowHz = std::numeric_limits<double>::quiet_NaN();  ///< of the band it may be driven in; both edges
                                                              ///< stated or none
    double highHz = std::numeric_limits<double>::quiet_NaN();
    double voltageLimit = std::numeric_limits<double>::quiet_NaN();  ///< instantaneous, at the terminals (or
                                                                     ///< of the unit's drive quantity)
};

/// What a drive is excited with: an exponential sweep. Not a number: from the limits of the drive's sections and
/// the defaults (see resolvedSweep in Run/SweepPlan.h).
struct SweepPlan {
    double startHz = std::numeric_limits<double>::quiet_NaN();
    double endHz = std::numeric_limits<double>::quiet_NaN();
    double durationS = std::numeric_limits<double>::quiet_NaN();
    double peakV = std::numeric_limits<double>::quiet_NaN();  ///< instantaneous, before a section's gain; volts of
                                                              ///< the unit's drive quantity (full scale where
                                                              ///< that is digital)
};

struct DrivePlan {
    std::string name;                   ///< "front", "front+rear"
    std::vector<std::string> sections;  ///< in the plan's order
    double axisDeg = 0;                 ///< 0 or 180
    std::string referenceSection;       ///< the section whose terminals 2.83 V refers to
    SweepPlan sweep = {};
};

/// Which positions a run goes to, and in which order.
struct AnglePlan {
    std::string set;   ///< name of an angle set ("two-orbits-10"); empty: not stated, or `file` has them
    std::string file;  ///< CSV of positions, relative to the plan's folder
    bool shortestPath = true;  ///< order by the table's angle; else as the set lists them
};

/// Which way the table counts, and how it is treated. NaN: the default of the conductor.
struct TablePlan {
    bool countsClockwise = false;  ///< seen from above, growing angles turn the unit clockwise
    bool liesOnLeftSide = true;    ///< for the vertical orbit on a table of one axis
    bool hasTilt = false;          ///< a second axis reaches elevations: no turning the unit on its side
    double lowestDeg = std::numeric_limits<double>::quiet_NaN();  ///< soft limits of the table's angle
    double highestDeg = std::numeric_limits<double>::quiet_NaN();
    double settleS = std::numeric_limits<double>::quiet_NaN();
};

/// Where the signals go and come from. Channels count from 1; 0: none.
struct AudioPlan {
    double sampleRateHz = std::numeric_limits<double>::quiet_NaN();
    int microphoneInput = 1;
    int loopbackInput = 0;
    int loopbackOutput = 0;
    double silenceBeforeS = std::numeric_limits<double>::quiet_NaN();
    double decayS = std::numeric_limits<double>::quiet_NaN();  ///< recorded after the sweep's end
};

/// How often things are done, and what ends a run. NaN or 0: the default of the conductor.
struct ConductPlan {
    int repeats = 1;
    double warmUpS = 0;
    int axisCheckEvery = 0;  ///< positions between checks on the axis; 0: only at the end
    int attempts = 3;        ///< at a capture that is doubtful
    double levelLimitDb = std::numeric_limits<double>::quiet_NaN();  ///< instantaneous peak at the microphone, dB
                                                                     ///< re 20 µPa; beyond it the run ends
    double noiseLimitDb = std::numeric_limits<double>::quiet_NaN();  ///< noise in any judged octave beyond this
                                                                     ///< makes a capture doubtful
};

struct Instrument {
    std::string role, model, serial, certificate, calibratedOn;
};

/// All that a run needs to be repeated, as far as this version reads it. Empty strings and NaN: not stated.
struct Plan {
    std::string unitModel, unitSerial, unitState;
    double unitSizeM;  ///< largest dimension
    double latencyS;   ///< of the unit's own processing
    std::array<double, 3>
        referencePointM;  ///< from the rotation axis, in the unit's coordinates (x ahead, y left, z up)
    DriveQuantity driveQuantity;
    std::vector<SectionPlan> sections;
    std::vector<DrivePlan> drives;
    double distanceM;
    double pascalPerFullScale, voltsPerFullScale, loopbackVoltsPerFullScale;
    std::string calibrationId;
    std::vector<Instrument> instruments;
    std::string chamberName, place;
    double chamberLowestHz;
    Air air;
    std::string engineer, measuredOn, checkStandard, purpose;
    AnglePlan angles;
    TablePlan table;
    AudioPlan audio;
    ConductPlan conduct;
    std::string simulationJson;  ///< the object "simulation" as it stands: a simulated chamber (Chamber/Scene.h);
                                 ///< empty: a real one
    std::string text;  ///< the document that it was read from, without comments; empty where there was none

    Plan();  ///< nothing stated
};

/// Reads a plan (JSON with // and /* */ comments). Throws Error{input} naming line and column or the JSON
/// pointer.
Plan parsePlan(const std::string& text, const std::string& source);

/// Writes what is stated as JSON that parsePlan reads back to an equal plan.
std::string planAsJson(const Plan& plan);

}  // namespace volvelle
