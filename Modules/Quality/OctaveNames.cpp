#include "Quality/OctaveNames.h"

#include "Text/Number.h"

#include <array>
#include <vector>

namespace volvelle {
namespace {

// In the order of judgedOctavesHz().
constexpr std::array nominalHz{31.5, 63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0, 16000.0};

struct InUnit {
    std::string number, unit;
};

InUnit inUnit(std::size_t octave) {
    const double hz = nominalOctaveHz(octave);
    return hz < 1000 ? InUnit{significantText(hz, 3), " Hz"} : InUnit{significantText(hz / 1000, 3), " kHz"};
}

std::string rangeName(std::size_t first, std::size_t last) {
    const InUnit low = inUnit(first), high = inUnit(last);
    if (first == last) return low.number + low.unit;
    return low.number + (low.unit == high.unit ? "" : low.unit) + " to " + high.number + high.unit;
}

}  // namespace

double nominalOctaveHz(std::size_t octave) {
    return nominalHz.at(octave);
}

std::string octaveName(std::size_t octave) {
    return rangeName(octave, octave);
}

std::string octaveNames(std::span<const std::size_t> octaves) {
    std::vector<std::string> ranges;
    for (std::size_t i = 0; i < octaves.size();) {
        std::size_t last = i;
        while (last + 1 < octaves.size() && octaves[last + 1] == octaves[last] + 1) ++last;
        ranges.push_back(rangeName(octaves[i], octaves[last]));
        i = last + 1;
    }
    std::string text;
    for (std::size_t r = 0; r < ranges.size(); ++r)
        text += (r == 0 ? "" : r + 1 == ranges.size() ? " and " : ", ") + ranges[r];
    return text;
}

}  // namespace volvelle
