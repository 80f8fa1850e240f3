#pragma once

#include "Figures/Canvas.h"
#include "Figures/PlateWords.h"

#include <cstddef>
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
};

/// The angle that the microphone sees after the table has turned to tableDeg: horizontal upright, vertical on
/// the unit's side.
double seenUpright(const TurningPlate& plate, double tableDeg);
double seenOnSide(const TurningPlate& plate, double tableDeg);

void drawTurning(Canvas& canvas, const TurningPlate& plate);
std::string asSvg(const TurningPlate& plate, const PictureSize& size = {});
std::vector<std::byte> asPng(const TurningPlate& plate, const PictureSize& size = {});

}  // namespace volvelle
