#pragma once

#include "Figures/Canvas.h"
#include "Figures/PlateWords.h"
#include "Signal/Excitation.h"

#include <cstddef>
#include <string>
#include <vector>

namespace volvelle {

/// One curve of the family, of the sections measured together and summed. In dB on the plate's frequencies;
/// not a number, or empty: not known.
struct SectionsCurve {
    std::string title;                ///< "Listening window"
    std::string unit;                 ///< title of the upright axis: "Level, dB" or "Directivity index, dB"
    std::vector<double> whole;        ///< the drive measured with its sections together
    std::vector<double> coherentSum;  ///< of complex pressures of the sections measured apart
    std::vector<double> powerSum;     ///< of squared pressures of the sections measured apart
    std::string missing;              ///< why the curve is not known; empty where it is
};

/// Measured whole, coherent sum and power sum, a pair of panels for each curve: the three over each other,
/// and below them the whole less the coherent sum.
struct SectionsPlate {
    PlateWords words;                   ///< title: unit; subtitle: "front+rear against front and rear · ..."
    std::vector<double> frequencyHz;    ///< growing, above 0
    std::vector<SectionsCurve> curves;  ///< 1 to 6
    Band valid{0, 0};  ///< common to the drives: faint outside it; low not below high: nothing is said
};

/// The interaction round one orbit. Rows are [angle][frequency]; not a number: not known.
struct InteractionOrbit {
    std::vector<double> angleDeg;  ///< growing, within -180 ... 180, relative to the drive's axis
    /// 20 lg of |whole - coherent sum| over |whole| in its loudest direction at that frequency.
    std::vector<std::vector<double>> differenceDb;
    /// The same of sections that do not interact; empty: not known, and said so. The map is veiled where the
    /// difference is less than 6 dB above it.
    std::vector<std::vector<double>> floorDb;
    std::string missing;  ///< why there is none
};

/// |whole - sum| re the loudest direction over angle and frequency, a map for each orbit, and below them its
/// largest over all directions against the floor.
struct InteractionPlate {
    PlateWords words;
    std::vector<double> frequencyHz;  ///< growing, above 0
    InteractionOrbit horizontal, vertical;
    /// Per frequency: the largest over all directions and the floor in that direction, where there are more
    /// directions than those of the orbits. Empty: taken from the orbits.
    std::vector<double> largestDb, floorDb;
    std::string floorName;  ///< what the floor is made of: "noise, drift of the axis checks, air"
    Band valid{0, 0};       ///< common to the drives: faint outside it; low not below high: nothing is said
};

/// Draw them, filling the canvas. Throw Error{usage} for a number of curves that they do not take and a grid
/// that does not grow.
void drawSections(const SectionsPlate& plate, Canvas& canvas);
void drawInteraction(const InteractionPlate& plate, Canvas& canvas);
/// Equal plates give equal bytes.
std::string asSvg(const SectionsPlate& plate, const PictureSize& size = {});
std::string asSvg(const InteractionPlate& plate, const PictureSize& size = {});
std::vector<std::byte> asPng(const SectionsPlate& plate, const PictureSize& size = {});
std::vector<std::byte> asPng(const InteractionPlate& plate, const PictureSize& size = {});

}  // namespace volvelle
