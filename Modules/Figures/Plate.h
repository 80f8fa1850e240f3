#pragma once

#include "Figures/Axis.h"
#include "Figures/Canvas.h"
#include "Figures/Geometry.h"
#include "Figures/Palette.h"
#include "Figures/PlateWords.h"
#include "Signal/Excitation.h"

#include <string>
#include <vector>

namespace volvelle {

// What all figures have in common: heading, foot, grids, curves that fade outside the range where they hold.

/// Draws paper, heading (at the right what the figure is) and foot. Returns the box that is left between
/// them.
Box drawPlate(Canvas& canvas, const PlateWords& words, const std::string& kind);

/// Height of a figure of that width whose content, between heading and foot, is to be so high.
double plateHeight(const PlateWords& words, double width, double contentHeight);

/// The text in lines no wider than `width`, at most `lines` of them (then it ends in an ellipsis).
std::vector<std::string> wrapped(const Canvas& canvas, const std::string& text, const TextStyle& style,
                                 double width, std::size_t lines);

/// Says in words, in the middle of a box, what cannot be drawn and why.
void sayInstead(Canvas& canvas, const Box& box, const std::string& what, const std::string& why);

/// The band within the axis; the whole axis where the band is not known (low not below high).
Band drawnBand(const Band& band, const FrequencyAxis& axis);
/// Fills the plot, tints what is outside the band.
void drawGround(Canvas& canvas, const Box& plot, const FrequencyAxis& axis, const Band& band);
void drawFrequencyLines(Canvas& canvas, const Box& plot, const FrequencyAxis& axis);
void drawFrequencyLabels(Canvas& canvas, const FrequencyAxis& axis, double top, const std::string& title);

/// A curve over frequency, full within the band and faint outside it, clipped to the plot. Not-a-number
/// leaves a gap.
void drawCurve(Canvas& canvas, const Box& plot, const std::vector<Point>& points, double validLeft,
               double validRight, const Pen& pen);

/// Labels in the margin, at the height of their curves' ends or moved apart, each with a short piece of its
/// line.
struct EndLabel {
    std::string text;
    Point end;  ///< of the curve
    Pen pen;
};
/// Where they stand. A leader runs level from a curve that ends early to plotRight, and from leaderFrom
/// aslant to its label: between them is room for labels of an axis. Leaders never cross, as labels keep the
/// order of the ends.
struct LabelColumn {
    double plotRight, leaderFrom;
    double left, right;  ///< of the pieces of line with their texts, which are cut to fit
    double top, bottom;
};
void drawEndLabels(Canvas& canvas, const std::vector<EndLabel>& labels, const LabelColumn& column);

TextStyle bodyText();   ///< axis labels
TextStyle smallText();  ///< foot

}  // namespace volvelle
