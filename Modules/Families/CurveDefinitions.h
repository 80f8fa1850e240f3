#pragma once

#include "Response/Recipe.h"
#include "Sphere/Direction.h"

#include <string>
#include <vector>

namespace volvelle {

/// A direction on an orbit, relative to the drive's axis, and the weight of its squared pressure in a mean.
struct WeightedAngle {
    Orbit orbit;
    double angleDeg;
    double weight;
};

/// A curve that is a weighted mean of squared pressures over directions. The weights add up to one.
struct CurveDefinition {
    std::string key, title;
    std::vector<WeightedAngle> angles;
};

/// The curves of ANSI/CTA-2034-A that are means over directions, in the order of the columns: on-axis,
/// listening window, floor, ceiling, front wall, side wall and rear wall bounces, early reflections (the mean
/// of the five bounces), sound power; then the horizontal reflection to the rear, the totals of horizontal
/// and vertical reflections. Directions: section 5 of the standard (from memory), rear wall as quoted from
/// its page 12, weights of the sound power derived as in its appendix C. A direction that several parts share
/// stands once, its weights added.
std::vector<CurveDefinition> curveDefinitions(Recipe::PowerWeights powerWeights);

/// Sound power from all angles of two orbits measured every stepDeg (a divisor of 180 below 10).
CurveDefinition soundPowerOfAllAngles(double stepDeg, Recipe::PowerWeights powerWeights);

}  // namespace volvelle
