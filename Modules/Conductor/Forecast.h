#pragma once

#include "Run/Plan.h"
#include "Sphere/AngleSet.h"

#include <cstddef>
#include <cstdint>
#include <vector>

namespace volvelle {

/// What a forecast takes for granted of the chamber.
struct ForecastGrounds {
    double speedDegPerS = 10;         ///< of the table
    double accelerationDegPerS2 = 0;  ///< 0: at once
    double turnOverS = 300;           ///< for laying the unit on its side
};

/// What a run of a plan will take where nothing has to be repeated.
struct Forecast {
    std::size_t positions = 0, directions = 0, onSide = 0;
    std::size_t captures = 0;     ///< of positions: positions x drives x repeats
    std::size_t axisChecks = 0;   ///< of all drives
    std::size_t firstSweeps = 0;  ///< 20 dB down, one for each drive, and again after the unit was turned
    int turnsOver = 0;
    double soundS = 0;  ///< silence, sweeps and decay
    double movingS = 0, settlingS = 0, warmUpS = 0, turningOverS = 0;
    std::uint64_t bytes = 0;  ///< of the sealed run; captures under way take as much again

    double totalS() const { return soundS + movingS + settlingS + warmUpS + turningOverS; }
};

/// Follows the way that the conductor takes. Throws Error{input} as itinerary and DriveShots do.
Forecast forecastOf(const Plan& plan, const AngleSet& set, const ForecastGrounds& grounds = {});

}  // namespace volvelle
