#pragma once

#include "Families/MakeFamily.h"
#include "Response/ToyRun.h"
#include "Sphere/Direction.h"

#include <array>
#include <cmath>
#include <complex>
#include <functional>
#include <vector>

namespace volvelle::toy {

/// Impulse response of an invented unit heard in a direction, t in seconds after the excitation.
using Unit = std::function<double(const Direction& d, double t)>;

/// Two sources apart from each other, each with a pattern of its own: nothing about it is symmetric.
inline double twoSources(const Direction& d, double t) {
    const auto u = unitVector(d);
    const auto sound = [](double after) {
        return after < 0 ? 0 : std::exp(-after / 4e-4) - 0.7 * std::exp(-after / 2e-4);
    };
    const double first = 1 + 0.6 * u[0] + 0.2 * u[1] - 0.1 * u[2],
                 second = 0.3 + 0.2 * u[0] * u[2] - 0.25 * u[1];
    return first * sound(t - 0.00312 + 1e-4 * u[0]) + second * sound(t - 0.0035 + 2e-4 * (u[1] + u[2]));
}

/// Fills captures of impulse responses from a unit heard in their nominal directions.
inline Samples heard(Unit unit) {
    return [unit = std::move(unit)](const DriveRecord&, const Capture& c, std::span<float> out) {
        for (std::size_t n = 0; n < out.size(); ++n)
            out[n] = static_cast<float>(unit(c.direction, static_cast<double>(n) / rate));
    };
}

inline RunRecord orbitRun(double stepDeg = 10) {
    return runOf({impulseDrive("front", twoOrbits(stepDeg), 1024)});
}

/// One window of 10 ms, third octaves.
inline Recipe quickRecipe() {
    Recipe r;
    r.window = {-0.002, 0.001, 0.004, 0.010};
    r.lowWindowChoice = Recipe::LowWindow::none;
    r.perOctave = 3;
    r.lowHz = 125;
    r.highHz = 16000;
    return r;
}

/// What quickRecipe makes of a unit in a direction: squared pressure in Pa², windowed and summed term by
/// term.
inline double plainPower(const Unit& unit, const Direction& d, double f) {
    std::complex<double> sum = 0;
    for (std::size_t n = 0; n < 1024; ++n) {
        const double t = static_cast<double>(n) / rate, s = t - earliestArrivalS;
        double w = s < -0.002 || s > 0.010 ? 0 : 1;
        if (s < -0.001) w *= std::pow(std::sin(M_PI / 2 * (s + 0.002) / 0.001), 2);
        if (s > 0.006) w *= std::pow(std::sin(M_PI / 2 * (0.010 - s) / 0.004), 2);
        sum += w * unit(d, t) * std::polar(1.0, -2 * M_PI * std::fmod(f * t, 1.0));
    }
    return std::norm(sum * scale);
}

inline double levelDb(double power) {
    return 10 * std::log10(power / (20e-6 * 20e-6));
}

inline Family familyOf(const RunRecord& record, Unit unit, const Recipe& recipe, int jobs = 1) {
    const SealedToy run(record, heard(std::move(unit)));
    return makeFamily(*run, record.drives[0].name, recipe, jobs);
}

}  // namespace volvelle::toy
