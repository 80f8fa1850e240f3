#pragma once

#include "Families/Family.h"
#include "Figures/Canvas.h"

#include <cstddef>
#include <string>
#include <vector>

namespace volvelle {

enum class FigureKind { family, map, polar, impulse, distortion };

/// "family" and so on; throws Error{usage} that suggests the nearest.
FigureKind figureKindNamed(const std::string& name);
std::string figureKindName(FigureKind kind);
const std::vector<FigureKind>& figureKinds();

struct FigureOptions {
    double width = 0, height = 0;  ///< points; 0: the kind's own. Smaller ones shrink the whole drawing.
    double scale = 2;              ///< PNG: pixels per point, 0.25 ... 8
    std::vector<double> polarHz = {250, 500, 1000, 2000, 4000, 8000};  ///< 1 to 12 of them
    bool estimatedInRoom = true;                                       ///< in the family chart
};

/// A figure of a family, filling the canvas. What is missing in the family is said in words in the figure.
/// Throws Error{usage} for options without sense.
void drawFigure(const Family& family, FigureKind kind, const FigureOptions& options, Canvas& canvas);

/// The same as a document or picture. Equal families and options give equal bytes: nothing in them tells of
/// time or machine.
std::string asSvg(const Family& family, FigureKind kind, const FigureOptions& options = {});
std::vector<std::byte> asPng(const Family& family, FigureKind kind, const FigureOptions& options = {});

}  // namespace volvelle
