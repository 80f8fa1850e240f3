#pragma once

#include "Families/Family.h"
#include "Response/Recipe.h"
#include "Run/ReadableRun.h"

#include <string>
#include <vector>

namespace volvelle {

/// Level (dB re 20 µPa at 1 m for the reference input, smoothed where the recipe says so) and phase (degrees,
/// -180 ... 180, against time zero, e^(+jωt), propagation included) of one position; not a number where not
/// known.
struct PositionResponse {
    std::string position;  ///< "horizontal:50", as measured: not turned to the drive's axis
    std::vector<double> levelDb, phaseDeg;
};

struct PositionResponses {
    std::vector<double> frequencyHz;
    std::string levelStatement, recipeJson;
    std::vector<PositionResponse> responses;
    std::vector<std::string> notes;
    std::string drive;  ///< as the run calls it
    Validity validity{};
    std::vector<std::string>
        doubts;  ///< "horizontal:50: clipped ...", of the doubtful captures that serve here
};

/// Responses of a drive at the named positions ("horizontal:50", "azimuth:30,elevation:20"; none: all that
/// were measured). Throws Error{usage} for positions that were not measured.
PositionResponses positionResponses(const ReadableRun& run, const std::string& drive, const Recipe& recipe,
                                    const std::vector<std::string>& names, int jobs);

}  // namespace volvelle
