#include "Chamber/DriverFilter.h"

#include "Text/Error.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>

namespace volvelle {

namespace {

using Complex = std::complex<double>;

/// A part of a normalised Butterworth polynomial: s² + slope s + 1, or s + 1 where slope is 0.
Complex part(Complex s, double slope) {
    return slope > 0 ? s * s + slope * s + 1.0 : s + 1.0;
}

std::span<const double> butterworthSlopes(int order) {
    static constexpr double first[] = {0}, second[] = {std::numbers::sqrt2}, third[] = {0, 1},
                            fourth[] = {0.76536686473017954, 1.8477590650225735};  // 2 sin, 2 cos of π/8
    switch (order) {
        case 1:
            return first;
        case 2:
            return second;
        case 3:
            return third;
        case 4:
            return fourth;
        default:
            throw Error(ErrorKind::input, "a crossover has an order that it cannot have", "driver's filter",
                        "Use 2 or 4 for Linkwitz-Riley, 1 to 4 for Butterworth");
    }
}

Complex lowPass(const CrossoverFilter& filter, Complex s) {
    const bool isTwice = filter.kind == CrossoverFilter::Kind::linkwitzRiley;
    if (isTwice && filter.order % 2 != 0) butterworthSlopes(0);
    Complex denominator = 1;
    for (const double slope : butterworthSlopes(isTwice ? filter.order / 2 : filter.order))
        denominator *= part(s, slope);
    return 1.0 / (isTwice ? denominator * denominator : denominator);
}

/// e^-18.4 is 1e-8.
constexpr double decays = 18.42;

double settlingS(const CrossoverFilter& filter) {
    if (!(filter.hz > 0)) return 0;
    // The slowest pole of the fourth order decays with sin(π/8) of its angular frequency.
    return decays / (0.3826 * 2 * std::numbers::pi * filter.hz);
}

}  // namespace

Complex relativeResponse(const DriverFilter& filter, double frequencyHz) {
    const Complex j(0, 1);
    Complex response = std::pow(10, filter.gainDb / 20) * (filter.reversed ? -1.0 : 1.0);
    if (filter.resonanceHz > 0) {
        const Complex s = j * frequencyHz / filter.resonanceHz;
        response *= s * s / (s * s + s / filter.quality + 1.0);
    }
    if (filter.cutoffHz > 0) {
        const Complex s = j * frequencyHz / filter.cutoffHz;
        response /= part(s, std::numbers::sqrt2);
    }
    if (filter.lowPass.hz > 0) response *= lowPass(filter.lowPass, j * frequencyHz / filter.lowPass.hz);
    if (filter.highPass.hz > 0) {
        // Butterworth polynomials read the same from both ends: the high-pass is s^n times the low-pass.
        const Complex s = j * frequencyHz / filter.highPass.hz;
        for (int n = 0; n < filter.highPass.order; ++n) response *= s;
        response *= lowPass(filter.highPass, s);
    }
    return response * std::polar(1.0, -2 * std::numbers::pi * frequencyHz * filter.delayS);
}

double settlingS(const DriverFilter& filter) {
    double s = filter.delayS + settlingS(filter.highPass) + settlingS(filter.lowPass);
    if (filter.cutoffHz > 0) s += decays / (std::numbers::sqrt2 * std::numbers::pi * filter.cutoffHz);
    if (filter.resonanceHz > 0) {
        const double half = 1 / (2 * filter.quality);
        const double slowest = half > 1 ? half - std::sqrt(half * half - 1) : half;
        s += decays / (slowest * 2 * std::numbers::pi * filter.resonanceHz);
    }
    return std::min(s, 4.0);
}

}  // namespace volvelle
