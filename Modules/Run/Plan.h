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

struct DrivePlan {
    std::string name;                   ///< "front", "front+rear"
    std::vector<std::string> sections;  ///< in the plan's order
    double axisDeg = 0;                 ///< 0 or 180
    std::string referenceSection;       ///< the section whose terminals 2.83 V refers to
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
    std::string text;  ///< the document that it was read from, without comments; empty where there was none

    Plan();  ///< nothing stated
};

/// Reads a plan (JSON with // and /* */ comments). Throws Error{input} naming line and column or the JSON
/// pointer.
Plan parsePlan(const std::string& text, const std::string& source);

/// Writes what is stated as JSON that parsePlan reads back to an equal plan.
std::string planAsJson(const Plan& plan);

}  // namespace volvelle
