#include "Families/CurveDefinitions.h"

#include "Sphere/AngleSet.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>

namespace volvelle {

namespace {

using Angles = std::vector<WeightedAngle>;

constexpr auto horizontal = Orbit::horizontal;
constexpr auto vertical = Orbit::vertical;

/// Adds a direction; 0° and 180° of the vertical orbit are those of the horizontal one.
void add(Angles& angles, Orbit orbit, double angleDeg, double weight) {
    if (angleDeg == 0 || std::abs(angleDeg) == 180) {
        orbit = horizontal;
        angleDeg = std::abs(angleDeg);
    }
    for (WeightedAngle& known : angles)
        if (known.orbit == orbit && known.angleDeg == angleDeg) {
            known.weight += weight;
            return;
        }
    angles.push_back({orbit, angleDeg, weight});
}

/// Equal parts of directions of one orbit.
Angles equalParts(Orbit orbit, std::initializer_list<double> degrees) {
    Angles angles;
    for (const double a : degrees) add(angles, orbit, a, 1.0 / static_cast<double>(degrees.size()));
    return angles;
}

/// Both signs of each angle.
Angles bothSides(std::initializer_list<double> degrees) {
    Angles angles;
    for (const double a : degrees)
        for (const double sign : {1.0, -1.0})
            add(angles, horizontal, sign * a, 0.5 / static_cast<double>(degrees.size()));
    return angles;
}

/// Mean of means: each part counts once, whatever the number of its directions.
Angles meanOf(std::initializer_list<const Angles*> parts) {
    Angles mean;
    for (const Angles* part : parts)
        for (const WeightedAngle& a : *part)
            add(mean, a.orbit, a.angleDeg, a.weight / static_cast<double>(parts.size()));
    return mean;
}

Angles listeningWindow() {
    Angles angles;
    for (const double a : {0.0, 10.0, -10.0, 20.0, -20.0, 30.0, -30.0}) add(angles, horizontal, a, 1.0 / 9);
    for (const double a : {10.0, -10.0}) add(angles, vertical, a, 1.0 / 9);
    return angles;
}

Angles soundPower(double stepDeg, Recipe::PowerWeights reading) {
    Angles angles;
    double sum = 0;
    for (const OrbitWeight& w : orbitWeights(stepDeg)) {
        const bool pole = w.angleDeg == 0 || w.angleDeg == 180;
        // The areas reading counts a pole for each of the four half-arcs, the other reading once.
        const double poleWeight = reading == Recipe::PowerWeights::areas ? 4 * w.weight : w.weight;
        if (pole) {
            add(angles, horizontal, w.angleDeg, poleWeight);
            sum += poleWeight;
            continue;
        }
        for (const Orbit orbit : {horizontal, vertical})
            for (const double sign : {1.0, -1.0}) add(angles, orbit, sign * w.angleDeg, w.weight);
        sum += 4 * w.weight;
    }
    for (WeightedAngle& a : angles) a.weight /= sum;
    return angles;
}

}  // namespace

std::vector<CurveDefinition> curveDefinitions(Recipe::PowerWeights powerWeights) {
    const Angles floor = equalParts(vertical, {-20, -30, -40});
    const Angles ceiling = equalParts(vertical, {40, 50, 60});
    const Angles front = equalParts(horizontal, {0, 10, -10, 20, -20, 30, -30});
    const Angles side = bothSides({40, 50, 60, 70, 80});
    const Angles rearBounce = equalParts(horizontal, {180, 90, -90});
    const Angles rear = equalParts(horizontal, {90, -90, 100, -100, 110, -110, 120, -120, 130, -130, 140,
                                                -140, 150, -150, 160, -160, 170, -170, 180});
    return {
        {"on_axis", "On axis", equalParts(horizontal, {0})},
        {"listening_window", "Listening window", listeningWindow()},
        {"floor_bounce", "Floor bounce", floor},
        {"ceiling_bounce", "Ceiling bounce", ceiling},
        {"front_wall_bounce", "Front wall bounce", front},
        {"side_wall_bounce", "Side wall bounce", side},
        {"rear_wall_bounce", "Rear wall bounce", rearBounce},
        {"early_reflections", "Early reflections", meanOf({&floor, &ceiling, &front, &side, &rearBounce})},
        {"sound_power", "Sound power", soundPower(10, powerWeights)},
        {"horizontal_front", "Horizontal reflections, front", front},
        {"horizontal_side", "Horizontal reflections, side", side},
        {"horizontal_rear", "Horizontal reflections, rear", rear},
        {"horizontal_total", "Horizontal reflections, total", meanOf({&front, &side, &rear})},
        {"vertical_floor", "Vertical reflections, floor", floor},
        {"vertical_ceiling", "Vertical reflections, ceiling", ceiling},
        {"vertical_total", "Vertical reflections, total", meanOf({&floor, &ceiling})}};
}

CurveDefinition soundPowerOfAllAngles(double stepDeg, Recipe::PowerWeights powerWeights) {
    return {"sound_power_all_angles", "Sound power, all angles", soundPower(stepDeg, powerWeights)};
}

}  // namespace volvelle
