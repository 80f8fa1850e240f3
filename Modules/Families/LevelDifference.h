#pragma once

#include "Signal/Excitation.h"

#include <optional>
#include <span>

namespace volvelle {

/// How two curves in dB differ within a band.
struct LevelDifference {
    double largestDb;  ///< with its sign, where its size is largest
    double atHz;
    double rmsDb;  ///< root of the mean square over the grid's frequencies
};

/// Of a - b where both are numbers and the frequency lies in the band; nothing where that is nowhere. The
/// spans have the same size.
std::optional<LevelDifference> levelDifference(const Band& band, std::span<const double> frequencyHz,
                                               std::span<const double> a, std::span<const double> b);

}  // namespace volvelle
