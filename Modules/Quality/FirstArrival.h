#pragma once

#include <cstddef>
#include <optional>
#include <span>

namespace volvelle {

/// The first arrival in an impulse response.
struct FirstArrival {
    double
        timeS;  ///< after time zero, to a fraction of a sample; negative times where the impulse is circular
    int polarity;  ///< +1: the first half-wave is positive (pressure rises), -1: it is negative
};

/// Finds the first arrival: the impulse is smoothed by a Gaussian low-pass of zero phase (6 dB down at
/// 0.4 of the band's upper end), which takes away the ringing of the band limit; the arrival is the summit
/// of the first half-wave that reaches a quarter of the greatest one and stands out of the noise. A pure
/// delay arrives exactly at its delay; behind a body that shadows the source the summit lies later than the
/// onset by a part of its rise. searchFrom ... searchTo: samples among which the greatest is looked for (from
/// may be negative: circular). quietFrom ... quietTo: samples that hold noise alone (may be empty). Nothing
/// where no half-wave stands 8 times out of that noise.
std::optional<FirstArrival> firstArrival(std::span<const float> impulse, double sampleRateHz,
                                         double bandHighHz, std::ptrdiff_t searchFrom,
                                         std::ptrdiff_t searchTo, std::ptrdiff_t quietFrom,
                                         std::ptrdiff_t quietTo);

}  // namespace volvelle
