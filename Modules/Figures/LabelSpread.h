#pragma once

#include <vector>

namespace volvelle {

/// Moves labels of the given heights apart: centres as near as possible (least squares) to the wished ones,
/// in the wished order, none overlapping, all within top ... bottom. If there is not room for all, they are
/// set evenly from top to bottom and overlap.
std::vector<double> spreadLabels(const std::vector<double>& wished, const std::vector<double>& heights,
                                 double top, double bottom);

}  // namespace volvelle
