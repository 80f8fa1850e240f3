#pragma once

#include "Figures/Canvas.h"
#include "Figures/PlateWords.h"

#include <array>
#include <cstddef>
#include <limits>
#include <string>
#include <vector>

namespace volvelle {

/// How a plan's table turns the unit before the microphone, to be held against the chamber.
struct TurningPlate {
    PlateWords words;
    bool countsClockwise = false;  ///< growing table angles turn the unit clockwise, seen from above
    bool liesOnLeftSide = true;    ///< where it is laid on its side
    bool laidOnSide = true;        ///< the angle set has such positions
    bool hasTilt = false;          ///< a second axis raises the microphone
    double distanceM = 2;          ///< not a number: not stated
    /// The reference point from the rotation axis: x ahead, y left, z up in the unit's coordinates; a component
    /// that is not a number counts as 0.
    std::array<double, 3> referencePointM{0, 0, 0};
    double unitSizeM = std::numeric_limits<double>::quiet_NaN();  ///< what the offset is drawn in proportion to
};

/// The angle that the microphone sees after the table has turned to tableDeg: horizontal upright, vertical on
/// the unit's side.
double seenUpright(const TurningPlate& plate, double tableDeg);
double seenOnSide(const TurningPlate& plate, double tableDeg);

/// "The reference point (dot) lies 0.12 m ahead and 0.05 m to the left of the rotation axis (cross)"; empty
/// where it lies on the axis. The first offsets in the unit's coordinates; above and below from 1 mm on.
std::string referencePointWords(const TurningPlate& plate);

void drawTurning(Canvas& canvas, const TurningPlate& plate);
std::string asSvg(const TurningPlate& plate, const PictureSize& size = {});
std::vector<std::byte> asPng(const TurningPlate& plate, const PictureSize& size = {});

}  // namespace volvelle
