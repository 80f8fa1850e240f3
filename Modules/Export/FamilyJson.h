#pragma once

#include "Families/Family.h"

#include <string>

namespace volvelle {

/// The family as JSON: what familyCsv holds, and besides positions and weights of each curve, the recipe as
/// an object, the maps of both orbits. One line for each top-level member; levels rounded to 4 decimals; null
/// where not known, "none" for a beam that never falls by 6 dB. Bytes that are no UTF-8 become U+FFFD. Throws
/// Error{bug} if the family's recipe is no JSON.
std::string familyJson(const Family& family);

}  // namespace volvelle
