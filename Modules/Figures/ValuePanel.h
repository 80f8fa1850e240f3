#pragma once

#include "Figures/Axis.h"
#include "Figures/Canvas.h"
#include "Figures/Geometry.h"
#include "Figures/PlateWords.h"
#include "Signal/Excitation.h"

#include <string>
#include <vector>

namespace volvelle {

// What charts of values over frequency have in common that are not of one family.

/// A plot of decibels over frequency.
struct ValuePanel {
    Box plot;
    FrequencyAxis frequency;
    LevelAxis value;
    Band band;  ///< where curves hold: full within it, faint outside
    static ValuePanel at(const Box& plot, double lowDb, double highDb, const Band& valid);
};

struct ValueRange {
    double lowDb, highDb;
};

/// What is known of the values at frequencies within the axis and the band, if the band is known. Low above
/// high: nothing is.
ValueRange rangeOf(const std::vector<double>& frequencyHz, const std::vector<std::vector<double>>& values,
                   const Band& valid);

/// Whole steps of 5 dB about a range, 20 to 50 dB of them, the high end kept where there is more.
ValueRange levelRange(const ValueRange& data);
/// The same below and above zero: 0.5, 1, 2, 3, 5, 10, 15 or 20 dB, whichever just holds the range.
ValueRange differenceRange(const ValueRange& data);

/// Ground, lines, frame and numbers; the title stands upright at the left.
void drawValueGrid(Canvas& canvas, const ValuePanel& p, double stepDb, double numberEveryDb,
                   const std::string& title);

/// The curve, and where it ends within the plot (not a number where there is none).
Point drawValues(Canvas& canvas, const ValuePanel& p, const std::vector<double>& frequencyHz,
                 const std::vector<double>& values, const Pen& pen);

/// "+1.20 dB at 3.2 kHz": the largest magnitude within the band; "not known" where there is none.
std::string largestWords(const std::vector<double>& frequencyHz, const std::vector<double>& valuesDb,
                         const Band& band);

/// Shrinks the canvas so that a figure of this size fits it. Leaves larger ones alone.
void fitTo(Canvas& canvas, double width, double height);

/// Throws Error{usage} for a grid that does not grow or is not above 0.
void requireGrid(const std::vector<double>& frequencyHz, const char* figure);

/// A canvas of the size asked for; what is not asked for is the figure's own (the height in proportion to a
/// smaller width). Throws Error{usage} for sizes out of range.
Canvas svgCanvas(const PictureSize& size, const char* figure, double ownWidth, double ownHeight);
Canvas pixelCanvas(const PictureSize& size, const char* figure, double ownWidth, double ownHeight);

}  // namespace volvelle
