#include "Sections/Superposition.h"

#include "Quantities/ReferencePressure.h"
#include "Signal/ComplexLoops.h"
#include "Signal/Smoothing.h"
#include "Text/Error.h"

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

std::vector<char> completePositions(const HeldSections& held) {
    std::vector<char> complete(held.positions.size(), 1);
    for (const HeldDrive& part : held.parts)
        for (std::size_t p = 0; p < complete.size(); ++p)
            if (!part.isPresent(p)) complete[p] = 0;
    return complete;
}

}  // namespace

std::vector<double> levelOf(std::span<const double> power, const HeldSections& held) {
    std::vector<double> level =
        smoothedPower(held.grids.computedHz, power, held.recipe.smoothing, held.grids.wantedHz);
    for (double& v : level)
        v = v > 0 ? 10 * std::log10(v / (referencePressurePa * referencePressurePa)) : notStated;
    return level;
}

std::vector<double> levelOf(std::span<const std::complex<double>> pressure, std::size_t position,
                            const HeldSections& held) {
    const std::size_t points = held.grids.computedHz.size();
    std::vector<double> power;
    for (const auto& p : pressure.subspan(position * points, points)) power.push_back(std::norm(p));
    return levelOf(power, held);
}

Superposition::Superposition(const HeldSections& held)
    : held_(held),
      points_(held.grids.computedHz.size()),
      complete_(completePositions(held)),
      curves_(heldCurves(held, complete_)),
      curvesAt_(held.positions.size()) {
    for (std::size_t c = 0; c < curves_.size(); ++c)
        for (const auto& [position, weight] : curves_[c].weights) curvesAt_[position].emplace_back(c, weight);
    for (const HeldDrive& part : held.parts) {
        auto& ofCurves = partPower_.emplace_back(curves_.size(), std::vector<double>(points_));
        for (std::size_t c = 0; c < curves_.size(); ++c)
            for (const auto& [position, weight] : curves_[c].weights)
                for (std::size_t f = 0; f < points_; ++f)
                    ofCurves[c][f] += weight * std::norm(part.pressure[position * points_ + f]);
    }
}

void Superposition::addPosition(std::size_t position, Sums& sums) const {
    std::complex<double>* const out = sums.pressure.data() + position * points_;
    for (std::size_t i = 0; i < held_.parts.size(); ++i) {
        const std::complex<double>* const part = held_.parts[i].pressure.data() + position * points_;
        const std::complex<double>* const factor = sums.factor.data() + i * points_;
        if (i == 0)
            for (std::size_t f = 0; f < points_; ++f) out[f] = product(factor[f], part[f]);
        else
            for (std::size_t f = 0; f < points_; ++f) out[f] += product(factor[f], part[f]);
    }
    if (curvesAt_[position].empty()) return;
    for (std::size_t f = 0; f < points_; ++f)
        sums.squared[f] = out[f].real() * out[f].real() + out[f].imag() * out[f].imag();
    for (const auto& [curve, weight] : curvesAt_[position]) {
        double* const power = sums.curvePower[curve].data();
        for (std::size_t f = 0; f < points_; ++f) power[f] += weight * sums.squared[f];
    }
}

std::vector<double> Superposition::level(const std::vector<double>& power, const HeldCurve& curve) const {
    return curve.missing.empty() ? levelOf(power, held_)
                                 : std::vector<double>(held_.grids.wantedHz.size(), notStated);
}

void Superposition::add(std::span<const SectionSetting> settings, Sums& sums) const {
    if (settings.size() != held_.parts.size())
        throw Error(ErrorKind::bug, "not one setting for each section", "Superposition::add", "");
    sums.factor.resize(settings.size() * points_);
    for (std::size_t i = 0; i < settings.size(); ++i)
        for (std::size_t f = 0; f < points_; ++f)
            sums.factor[i * points_ + f] = factorOf(settings[i], held_.grids.computedHz[f]);
    sums.pressure.assign(held_.positions.size() * points_, 0);
    sums.squared.resize(points_);
    sums.curvePower.resize(curves_.size());
    for (auto& power : sums.curvePower) power.assign(points_, 0);
    for (std::size_t p = 0; p < held_.positions.size(); ++p)
        if (isComplete(p)) addPosition(p, sums);
    sums.levelDb.resize(curves_.size());
    sums.powerSumDb.resize(curves_.size());
    std::vector<double> power(points_);
    for (std::size_t c = 0; c < curves_.size(); ++c) {
        sums.levelDb[c] = level(sums.curvePower[c], curves_[c]);
        std::fill(power.begin(), power.end(), 0.0);
        for (std::size_t i = 0; i < settings.size(); ++i) {
            const double gain = std::pow(10, settings[i].gainDb / 10);
            for (std::size_t f = 0; f < points_; ++f) power[f] += gain * partPower_[i][c][f];
        }
        sums.powerSumDb[c] = level(power, curves_[c]);
    }
}

}  // namespace volvelle
