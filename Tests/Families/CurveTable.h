#pragma once

#include "Sphere/Direction.h"

#include <cmath>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace volvelle::table {

// The curves of ANSI/CTA-2034-A written down a second time, as lists, apart from the code under test.
// Listening window, bounces, total early reflections: section 5 (memory); rear wall bounce as quoted from
// page 12; reflections of one plane: the separate horizontal and vertical reflection curves; weights of sound
// power: the table of appendix C.

using Angle = std::pair<Orbit, double>;
using Weights = std::map<Angle, double>;

inline Weights mean(Orbit orbit, const std::vector<double>& degrees) {
    Weights w;
    for (const double a : degrees) w[{orbit, a}] = 1.0 / static_cast<double>(degrees.size());
    return w;
}

inline Weights meanOfMeans(const std::vector<Weights>& parts) {
    Weights w;
    for (const Weights& part : parts)
        for (const auto& [angle, weight] : part) w[angle] += weight / static_cast<double>(parts.size());
    return w;
}

inline Weights listeningWindow() {
    Weights w = mean(Orbit::horizontal, {0, 10, -10, 20, -20, 30, -30, 0.5, -0.5});  // nine equal parts
    w.erase({Orbit::horizontal, 0.5});
    w.erase({Orbit::horizontal, -0.5});
    w[{Orbit::vertical, 10}] = w[{Orbit::vertical, -10}] = 1.0 / 9;
    return w;
}

/// Appendix C, one curve each, 0° to 90°; mirrored to 180°.
constexpr double perCurve[] = {0.000604486, 0.004730189, 0.008955027, 0.012387354, 0.014989611,
                               0.016868154, 0.018165962, 0.019006744, 0.019477787, 0.019629373};

inline Weights soundPower(bool areas) {
    Weights w;
    double sum = 0;
    for (int t = 0; t <= 180; t += 10) {
        const double one = perCurve[t <= 90 ? t / 10 : (180 - t) / 10];
        if (t == 0 || t == 180) {
            w[{Orbit::horizontal, t}] = areas ? 4 * one : one;
            sum += areas ? 4 * one : one;
            continue;
        }
        for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
            for (const int a : {t, -t}) w[{orbit, a}] = one, sum += one;
    }
    for (auto& [angle, weight] : w) weight /= sum;
    return w;
}

inline std::map<std::string, Weights> curves(bool areas) {
    const auto h = Orbit::horizontal, v = Orbit::vertical;
    const Weights floor = mean(v, {-20, -30, -40}), ceiling = mean(v, {40, 50, 60});
    const Weights front = mean(h, {0, 10, 20, 30, -10, -20, -30});
    const Weights side = mean(h, {40, 50, 60, 70, 80, -40, -50, -60, -70, -80});
    const Weights rearBounce = mean(h, {180, 90, -90});
    const Weights rear = mean(h, {90, 100, 110, 120, 130, 140, 150, 160, 170, 180, -90, -100, -110, -120,
                                  -130, -140, -150, -160, -170});
    return {{"on_axis", mean(h, {0})},
            {"listening_window", listeningWindow()},
            {"floor_bounce", floor},
            {"ceiling_bounce", ceiling},
            {"front_wall_bounce", front},
            {"side_wall_bounce", side},
            {"rear_wall_bounce", rearBounce},
            {"early_reflections", meanOfMeans({floor, ceiling, front, side, rearBounce})},
            {"sound_power", soundPower(areas)},
            {"horizontal_front", front},
            {"horizontal_side", side},
            {"horizontal_rear", rear},
            {"horizontal_total", meanOfMeans({front, side, rear})},
            {"vertical_floor", floor},
            {"vertical_ceiling", ceiling},
            {"vertical_total", meanOfMeans({floor, ceiling})}};
}

}  // namespace volvelle::table
