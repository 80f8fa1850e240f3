#include "Chamber/CoarseField.h"

#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

/// 80 steps to a wavelength of one radius: ka grows by 0.08. The field's poles nearest to 0 Hz lie at ka = ±1 - j
/// (zeros of h_1'); with 56 steps interpolation errs by 1e-7, with 80 by 5e-9, with 112 by 2e-10.
double stepFor(const RigidSphere& sphere) {
    return sphere.speedOfSound / (80 * sphere.radiusM);
}

/// From the sound that comes straight to the sound that creeps to the far side lie a (1 + π/2): the middle.
double middleM(const RigidSphere& sphere) {
    return sphere.radiusM * (1 + std::numbers::pi / 2) / 2;
}

std::vector<double> frequenciesUpTo(double highestHz, double stepHz) {
    std::vector<double> frequencies;
    const auto last = static_cast<std::size_t>(highestHz * 1.01 / stepHz) + TenPoints::count;
    for (std::size_t i = 0; i <= last; ++i) frequencies.push_back(static_cast<double>(i) * stepHz);
    // At 0 Hz the pressure over the acceleration is 0/0; so near to it it differs from its limit by 1e-10.
    frequencies.front() = 1e-4 * stepHz;
    return frequencies;
}

}  // namespace

void TenPoints::weights(double part, std::span<double, count> out) {
    // 1 / Π (i - j), j = 0 ... 9, j ≠ i
    static constexpr std::array<double, count> scale{-1.0 / 362880, 1.0 / 40320, -1.0 / 10080, 1.0 / 4320,
                                                     -1.0 / 2880,   1.0 / 2880,  -1.0 / 4320,  1.0 / 10080,
                                                     -1.0 / 40320,  1.0 / 362880};
    std::array<double, count> from;
    for (std::size_t i = 0; i < count; ++i)
        from[i] = part + static_cast<double>(before) - static_cast<double>(i);
    double product = 1;
    for (std::size_t i = 0; i < count; ++i) {
        out[i] = product * scale[i];
        product *= from[i];
    }
    product = 1;
    for (std::size_t i = count; i-- > 0;) {
        out[i] *= product;
        product *= from[i];
    }
}

CoarseField::CoarseField(const RigidSphere& sphere, double highestHz, double distanceM)
    : sphere_(sphere),
      stepHz_(stepFor(sphere)),
      wayM_(distanceM - sphere.radiusM + middleM(sphere)),
      field_(sphere, frequenciesUpTo(highestHz, stepHz_), distanceM) {
}

std::vector<std::complex<double>> CoarseField::samples(const Cap& cap, const Direction& where,
                                                       const std::function<double(double)>& gain) const {
    const std::vector<std::complex<double>> pressure = field_.pressure(cap, where);
    std::vector<std::complex<double>> out(TenPoints::before + pressure.size());
    const auto sample = [&](std::size_t i) -> std::complex<double> {
        const double omega = 2 * std::numbers::pi * field_.frequenciesHz()[i];
        const std::complex<double> value = pressure[i] / std::complex<double>(0, omega) *
                                           std::polar(1.0, omega / sphere_.speedOfSound * wayM_);
        return i == 0 ? value.real() : value;  // at 0 Hz it is real
    };
    for (std::size_t i = 0; i < pressure.size(); ++i)
        out[TenPoints::before + i] = sample(i) * (gain ? gain(static_cast<double>(i) * stepHz_) : 1);
    for (std::size_t i = 1; i <= TenPoints::before; ++i)  // of real signals
        out[TenPoints::before - i] = std::conj(out[TenPoints::before + i]);
    return out;
}

std::complex<double> CoarseField::at(std::span<const std::complex<double>> samples,
                                     double frequencyHz) const {
    const double place = frequencyHz / stepHz_;
    const auto first = static_cast<std::size_t>(place);
    std::array<double, TenPoints::count> weights;
    TenPoints::weights(place - static_cast<double>(first), weights);
    std::complex<double> sum = 0;
    for (std::size_t i = 0; i < weights.size(); ++i) sum += weights[i] * samples[first + i];
    return sum * std::polar(1.0, -2 * std::numbers::pi * frequencyHz / sphere_.speedOfSound * wayM_);
}

}  // namespace volvelle
