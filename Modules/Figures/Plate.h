#pragma once

#include "Families/Family.h"
#include "Figures/Axis.h"
#include "Figures/Canvas.h"
#include "Figures/Geometry.h"
#include "Figures/Palette.h"

#include <string>
#include <vector>

namespace volvelle {

// What all figures have in common: heading, foot, grids, curves that fade outside the range where they hold.

/// Draws paper, heading (unit, drive, axis, level statement; at the right what the figure is) and foot
/// (statements of the figure, range of validity, recipe, notes, fingerprint, version). Returns the box that
/// is left between them.
Box drawPlate(Canvas& canvas, const Family& family, const std::string& kind,
              const std::vector<std::string>& statements);

/// Where the family holds, what bounds it, and up to where far-field conditions hold, in words.
std::string validityWords(const Family& family);
/// Window, cross-fade, smoothing, air.
std::string recipeWords(const Family& family);

/// The text in lines no wider than `width`, at most `lines` of them (then it ends in an ellipsis).
std::vector<std::string> wrapped(const Canvas& canvas, const std::string& text, const TextStyle& style,
                                 double width, std::size_t lines);

/// Says in words, in the middle of a box, what cannot be drawn and why.
void sayInstead(Canvas& canvas, const Box& box, const std::string& what, const std::string& why);

/// The band of `family.validity` as far as it is known, within the axis.
Band drawnBand(const Family& family, const FrequencyAxis& axis);
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
/// leaderFrom: where the leading lines begin; labelLeft: where the pieces of line begin; texts are cut to fit
/// `right`.
void drawEndLabels(Canvas& canvas, const std::vector<EndLabel>& labels, double leaderFrom, double labelLeft,
                   double right, double top, double bottom);

TextStyle bodyText();   ///< axis labels
TextStyle smallText();  ///< foot

}  // namespace volvelle
