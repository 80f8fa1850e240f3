#include "Families/AxisDetails.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

constexpr double apart = 0.002;  // relative distance of the two frequencies of a group delay

}  // namespace

std::vector<double> nearbyFrequencies(const std::vector<double>& gridHz, double highestHz) {
    std::vector<double> out;
    for (const double f : gridHz) {
        // Close grids would interleave; the lower of a pair never lies below the higher of the pair before.
        const double above = std::min(f * (1 + apart / 2), highestHz);
        out.push_back(above * (1 - apart));
        out.push_back(above);
    }
    return out;
}

void addPhase(Family& family, Pressures& atGrid, Pressures& nearby, std::size_t position, double arrivalS) {
    std::vector<std::complex<double>> p(atGrid.frequencyHz().size()), pairs(nearby.frequencyHz().size());
    atGrid.prepare(1);
    atGrid.at(position, 0, p);
    nearby.prepare(1);
    nearby.at(position, 0, pairs);
    const double turn = 2 * std::numbers::pi;
    for (std::size_t i = 0; i < p.size(); ++i) {
        family.onAxisPhaseDeg.push_back(std::arg(p[i]) * 180 / std::numbers::pi);
        const double low = nearby.frequencyHz()[2 * i], high = nearby.frequencyHz()[2 * i + 1];
        const auto aboutArrival = std::polar(1.0, turn * (high - low) * arrivalS);
        const double step = std::arg(pairs[2 * i + 1] * std::conj(pairs[2 * i]) * aboutArrival);
        family.onAxisGroupDelayS.push_back(arrivalS - step / (turn * (high - low)));
    }
}

WindowedImpulse drawnImpulse(std::span<const float> circularImpulse, double sampleRateHz, double scale,
                             const ResolvedRecipe& recipe) {
    WindowedImpulse out;
    out.sampleRateHz = sampleRateHz;
    out.window = recipe.window;
    out.hasLowWindow = recipe.lowWindow.has_value();
    out.lowWindow = recipe.lowWindow.value_or(Window{});
    out.crossFadeHz = recipe.recipe.crossFadeHz.value_or(0);
    double start = recipe.window.startS, end = recipe.window.endS;
    if (recipe.lowWindow) {
        start = std::min(start, recipe.lowWindow->startS);
        end = std::max(end, recipe.lowWindow->endS);
    }
    const double shown = end - start;
    Stretch stretch;
    stretch.first = static_cast<std::ptrdiff_t>((start - 0.005) * sampleRateHz);
    stretch.length =
        std::min(static_cast<std::size_t>((1.5 * shown + 0.005) * sampleRateHz), circularImpulse.size());
    out.samples.resize(stretch.length);
    copyStretch(circularImpulse, stretch, out.samples);
    for (float& v : out.samples) v *= static_cast<float>(scale);
    out.firstSampleS = static_cast<double>(stretch.first) / sampleRateHz;
    return out;
}

}  // namespace volvelle
