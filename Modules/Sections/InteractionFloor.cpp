#include "Sections/InteractionFloor.h"

#include "Quantities/Air.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

constexpr double zeroCelsiusK = 273.15;

double orNothing(double value) {
    return std::isfinite(value) ? value : 0;
}

}  // namespace

double floorPower(std::span<const FloorShare> shares) {
    double sum = 0;
    for (const FloorShare& share : shares) {
        const double turn = std::min(std::abs(orNothing(share.airPhase)), std::numbers::pi);
        const double chord = 2 * std::sin(turn / 2);
        sum += std::max(orNothing(share.noise), orNothing(share.repeats)) +
               share.power * (orNothing(share.drift) + chord * chord);
    }
    return sum;
}

double driftShare(double squaredDeparture, double apartS, double spanS) {
    const double part = std::abs(apartS) / spanS;
    return squaredDeparture * (part < 1 ? part * part : 1);  // not a number: all of it
}

double airPhase(double frequencyHz, double distanceM, double temperatureC, double otherTemperatureC) {
    Air air = Air::notStated();
    air.temperatureC = (temperatureC + otherTemperatureC) / 2;
    const double flightS = distanceM / speedOfSound(air);
    return 2 * std::numbers::pi * frequencyHz * flightS * (temperatureC - otherTemperatureC) /
           (2 * (air.temperatureC + zeroCelsiusK));
}

}  // namespace volvelle
