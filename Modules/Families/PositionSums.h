#pragma once

#include "Families/CurveDefinitions.h"
#include "Families/OrbitIndex.h"
#include "Response/Pressures.h"

#include <cstddef>
#include <map>
#include <string>
#include <vector>

namespace volvelle {

/// One mean over directions under way.
struct CurveSum {
    CurveDefinition definition;
    std::vector<std::string> missing;        ///< positions that were not measured
    std::vector<double> power;               ///< squared pressure in Pa² on the computing grid
    std::map<std::size_t, double> weightOf;  ///< measured position -> weight
};

/// Prepares the sum of a definition.
CurveSum curveSum(const CurveDefinition& definition, const OrbitIndex& index);

/// What is computed of a set of positions in one pass over them.
struct PositionSums {
    std::vector<double> computedHz;  ///< the grid that pressures are computed on
    std::vector<double> wantedHz;    ///< the grid of the results
    int smoothing = 0;
    std::vector<CurveSum> curves;
    std::map<std::size_t, std::vector<float>> levelDb;  ///< of the positions in it: level on the wanted grid
    std::optional<std::size_t> axisPosition;
};

/// Goes through all positions that the sums need, `jobs` at a time, adding in the order of positions.
void addPositions(PositionSums& sums, Pressures& pressures, bool subtractNoise, int jobs);

/// Level in dB re 20 µPa of squared pressures, smoothed onto the wanted grid; not a number where nothing is
/// left.
std::vector<double> levelOf(std::span<const double> power, const PositionSums& sums);

}  // namespace volvelle
