#pragma once

#include "Figures/Figure.h"

namespace volvelle {

// The kinds of figure, each of which fills the canvas.

void drawFamilyChart(const Family& family, const FigureOptions& options, Canvas& canvas);
void drawDirectivityMaps(const Family& family, Canvas& canvas);
void drawPolars(const Family& family, const FigureOptions& options, Canvas& canvas);
void drawImpulse(const Family& family, Canvas& canvas);
void drawDistortion(const Family& family, Canvas& canvas);

}  // namespace volvelle
