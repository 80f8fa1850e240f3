#include "Families/PositionSums.h"

#include "Quantities/ReferencePressure.h"
#include "Run/Capture.h"
#include "Signal/ParallelFor.h"
#include "Signal/Smoothing.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

namespace volvelle {

namespace {

/// Positions are computed in blocks, so that memory does not grow with their number.
constexpr std::size_t blockSize = 96;

using Row = std::vector<double>;  ///< squared pressure of one position

/// Memory of one thread.
struct Bench {
    std::vector<std::complex<double>> pressure;
    std::vector<double> noise;
};

void computeRow(Row& row, Bench& bench, Pressures& pressures, std::size_t position, int worker,
                bool subtractNoise) {
    pressures.at(position, worker, bench.pressure);
    for (std::size_t i = 0; i < row.size(); ++i) row[i] = std::norm(bench.pressure[i]);
    if (!subtractNoise) return;
    pressures.noisePower(position, worker, bench.noise);
    // Differences may be negative: only sums are held against zero, else means would be biased.
    for (std::size_t i = 0; i < row.size(); ++i) row[i] -= bench.noise[i];
}

std::vector<std::size_t> positionsNeeded(const PositionSums& sums) {
    std::set<std::size_t> needed;
    for (const CurveSum& curve : sums.curves)
        for (const auto& [position, weight] : curve.weightOf) needed.insert(position);
    for (const auto& [position, level] : sums.levelDb) needed.insert(position);
    if (sums.axisPosition) needed.insert(*sums.axisPosition);
    return {needed.begin(), needed.end()};
}

/// Adds a block of rows to one curve, in the order of positions.
void addRows(CurveSum& curve, std::span<const std::size_t> positions, std::span<const Row> rows) {
    for (std::size_t r = 0; r < positions.size(); ++r) {
        const auto found = curve.weightOf.find(positions[r]);
        if (found == curve.weightOf.end()) continue;
        for (std::size_t i = 0; i < curve.power.size(); ++i) curve.power[i] += found->second * rows[r][i];
    }
}

/// What levelOf gives, in single precision: to 1e-5 dB.
std::vector<float> mapLevelOf(std::span<const double> power, const PositionSums& sums) {
    constexpr float decibelsPerOctave = 3.01029996F;
    constexpr double reference = referencePressurePa * referencePressurePa;
    std::vector<double> smoothed;
    if (sums.smoothing > 0) {
        smoothed = smoothedPower(sums.computedHz, power, sums.smoothing, sums.wantedHz);
        power = smoothed;
    }
    std::vector<float> level(power.size());
    std::transform(power.begin(), power.end(), level.begin(), [](double p) {
        return p > 0 ? decibelsPerOctave * std::log2(static_cast<float>(p / reference))
                     : std::numeric_limits<float>::quiet_NaN();
    });
    return level;
}

}  // namespace

CurveSum curveSum(const CurveDefinition& definition, const OrbitIndex& index) {
    CurveSum sum;
    sum.definition = definition;
    for (const WeightedAngle& angle : definition.angles) {
        if (const auto position = index.at(angle.orbit, angle.angleDeg))
            sum.weightOf[*position] += angle.weight;
        else
            sum.missing.push_back(positionName(directionOn(angle.orbit, angle.angleDeg), angle.orbit));
    }
    return sum;
}

std::vector<double> levelOf(std::span<const double> power, const PositionSums& sums) {
    std::vector<double> level = smoothedPower(sums.computedHz, power, sums.smoothing, sums.wantedHz);
    for (double& v : level)
        v = v > 0 ? 10 * std::log10(v / (referencePressurePa * referencePressurePa)) : notStated;
    return level;
}

void addPositions(PositionSums& sums, Pressures& pressures, bool subtractNoise, int jobs) {
    const auto needed = positionsNeeded(sums);
    const std::size_t points = sums.computedHz.size();
    for (CurveSum& curve : sums.curves) curve.power.assign(points, 0.0);
    pressures.prepare(jobs);
    std::vector<Row> rows(std::min(blockSize, needed.size()), Row(points));
    std::vector<Bench> benches(static_cast<std::size_t>(std::max(jobs, 1)),
                               {std::vector<std::complex<double>>(points), std::vector<double>(points)});
    for (std::size_t first = 0; first < needed.size(); first += blockSize) {
        const std::size_t count = std::min(blockSize, needed.size() - first);
        parallelFor(count, jobs, [&](std::size_t i, int worker) {
            computeRow(rows[i], benches[static_cast<std::size_t>(worker)], pressures, needed[first + i],
                       worker, subtractNoise);
            const auto level = sums.levelDb.find(needed[first + i]);
            if (level == sums.levelDb.end()) return;
            level->second = mapLevelOf(rows[i], sums);
        });
        const auto block = std::span(needed).subspan(first, count);
        parallelFor(sums.curves.size(), jobs,
                    [&](std::size_t c, int) { addRows(sums.curves[c], block, rows); });
    }
}

}  // namespace volvelle
