#pragma once

#include <string>
#include <utility>
#include <vector>

namespace volvelle {

/// Curves and why each is empty, as paragraphs for the screen: curves of one reason stand together. Which
/// positions each lacks is left to the tables where the curves differ in that alone.
std::string emptyCurvesText(const std::vector<std::pair<std::string, std::string>>& curvesAndReasons);

}  // namespace volvelle
