#pragma once

#include "Sphere/Direction.h"

#include <cstddef>
#include <span>
#include <vector>

namespace volvelle {

/// For each direction the index of the first listed one that is the same to within 0.01°: its own where it is
/// new.
std::vector<std::size_t> firstAlike(std::span<const Direction> directions);

}  // namespace volvelle
