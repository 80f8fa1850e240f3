#include "Command/DurationText.h"

#include "Text/Number.h"

#include <fmt/core.h>

#include <cmath>

namespace volvelle {

std::string durationText(double seconds) {
    const auto whole = static_cast<long>(std::lround(seconds));
    if (whole >= 3600) return fmt::format("{} h {:02} min", whole / 3600, whole % 3600 / 60);
    if (whole >= 60) return fmt::format("{} min {:02} s", whole / 60, whole % 60);
    return fmt::format("{} s", whole);
}

std::string roughDurationText(double seconds) {
    if (seconds < 90) return fixedText(seconds, 0) + " s";
    if (seconds < 5400) return fixedText(seconds / 60, 0) + " min";
    return fixedText(seconds / 3600, 1) + " h";
}

}  // namespace volvelle
