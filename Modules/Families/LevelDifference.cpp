#include "Families/LevelDifference.h"

#include <cmath>
#include <cstddef>

namespace volvelle {

std::optional<LevelDifference> levelDifference(const Band& band, std::span<const double> frequencyHz,
                                               std::span<const double> a, std::span<const double> b) {
    LevelDifference found{0, 0, 0};
    std::size_t count = 0;
    double squares = 0;
    for (std::size_t f = 0; f < frequencyHz.size(); ++f) {
        const double difference = a[f] - b[f];
        if (frequencyHz[f] < band.lowHz || frequencyHz[f] > band.highHz || !std::isfinite(difference))
            continue;
        if (count == 0 || std::abs(difference) > std::abs(found.largestDb)) {
            found.largestDb = difference;
            found.atHz = frequencyHz[f];
        }
        squares += difference * difference;
        ++count;
    }
    if (count == 0) return std::nullopt;
    found.rmsDb = std::sqrt(squares / static_cast<double>(count));
    return found;
}

}  // namespace volvelle
