#pragma once

#include "Figures/Geometry.h"

#include <vector>

namespace volvelle {

/// Lines of equal level on a grid of values [row][column] with the abscissae x and ordinates y, linear along
/// the cells' edges (W. E. Lorensen & H. E. Cline's idea in two dimensions, saddles settled by the cell's
/// mean). Cells with a value that is not a number have no line. Each line is a chain of points.
std::vector<std::vector<Point>> contourLines(const std::vector<double>& x, const std::vector<double>& y,
                                             const std::vector<std::vector<double>>& values, double level);

}  // namespace volvelle
