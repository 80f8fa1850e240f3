#include "Sphere/AngleSet.h"

#include "Text/Error.h"

#include <cmath>
#include <numbers>

namespace volvelle {
namespace {

int stepsIn180(double stepDeg) {
    const double steps = 180 / stepDeg;
    if (!(stepDeg > 0) || !(std::abs(steps - std::round(steps)) < 1e-6) || steps > 1e6)
        throw Error(ErrorKind::input, "the step between angles must divide 180 degrees", "angle set",
                    "Use a step such as 2, 5 or 10 degrees");
    return static_cast<int>(std::lround(steps));
}

}  // namespace

double quadrangleSolidAngle(double halfAngleDeg) {
    // 4 asin(s²) with 1 - s⁴ = c² (1 + s²): keeps its digits at 90° and continues by itself beyond.
    const double a = halfAngleDeg * (std::numbers::pi / 180);
    const double s2 = std::sin(a) * std::sin(a);
    return 4 * std::atan2(s2, std::cos(a) * std::sqrt(1 + s2));
}

std::vector<OrbitWeight> orbitWeights(double stepDeg) {
    const int steps = stepsIn180(stepDeg);
    constexpr double whole = 4 * 4 * std::numbers::pi;
    std::vector<OrbitWeight> weights;
    for (int i = 0; i <= steps; ++i) {
        const double angle = 180.0 * i / steps, half = 90.0 / steps;
        const double outer = i == steps ? 4 * std::numbers::pi : quadrangleSolidAngle(angle + half);
        const double inner = i == 0 ? 0 : quadrangleSolidAngle(angle - half);
        weights.push_back({angle, (outer - inner) / whole});
    }
    return weights;
}

std::vector<double> orbitAngles(double stepDeg) {
    const int steps = stepsIn180(stepDeg);
    std::vector<double> angles;
    for (int i = 1 - steps; i <= steps; ++i) angles.push_back(180.0 * i / steps);
    return angles;
}

}  // namespace volvelle
