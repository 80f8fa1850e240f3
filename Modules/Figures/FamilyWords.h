#pragma once

#include "Families/Family.h"
#include "Figures/Figure.h"
#include "Figures/PlateWords.h"

#include <string>
#include <vector>

namespace volvelle {

/// Heading and foot of a family's figure: unit, drive, axis and what the figure's axis means; the statements,
/// the family's notes, range of validity, recipe, run and version.
PlateWords wordsOf(const Family& family, FigureKind kind, std::vector<std::string> statements);

/// What the upright axis or the colours of a kind of figure mean: "dB re 20 µPa at 1 m, ..." of levels, "dB
/// re the level on the axis" of maps.
std::string axisStatement(const Family& family, FigureKind kind);

/// Where the family holds, what bounds it, and up to where far-field conditions hold, in words.
std::string validityWords(const Family& family);
/// Window, cross-fade, smoothing, air.
std::string recipeWords(const Family& family);

}  // namespace volvelle
