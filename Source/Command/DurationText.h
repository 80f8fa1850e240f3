#pragma once

#include <string>

namespace volvelle {

/// What was measured or is counted down: "2 h 05 min", "3 min 20 s", "40 s".
std::string durationText(double seconds);

/// What is only foreseen: "1.5 h", "12 min", "40 s".
std::string roughDurationText(double seconds);

}  // namespace volvelle
