#include "Families/AxisDetails.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

constexpr double apart = 0.002;  // relative distance of the two frequencies of a group delay

}  // namespace

std::vector<double> withNeighbours(const std::vector<double>& gridHz, double highestHz) {
    std::vector<double> out;
    for (const double f : gridHz) {
        out.push_back(f * (1 - apart / 2));
        out.push_back(f);
        out.push_back(std::min(f * (1 + apart / 2), highestHz));
    }
    return out;
}

void addPhase(Family& family, std::span<const double> frequenciesHz,
              std::span<const std::complex<double>> pressure, double arrivalS) {
    const double turn = 2 * std::numbers::pi;
    for (std::size_t i = 1; i < pressure.size(); i += 3) {
        family.onAxisPhaseDeg.push_back(std::arg(pressure[i]) * 180 / std::numbers::pi);
        const double apartHz = frequenciesHz[i + 1] - frequenciesHz[i - 1];
        const auto aboutArrival = std::polar(1.0, turn * apartHz * arrivalS);
        const double step = std::arg(pressure[i + 1] * std::conj(pressure[i - 1]) * aboutArrival);
        family.onAxisGroupDelayS.push_back(arrivalS - step / (turn * apartHz));
    }
}

WindowedImpulse drawnImpulse(std::span<const float> circularImpulse, double sampleRateHz, double recordedToS,
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
    const double to = std::max(end, std::min(start + 1.5 * (end - start), recordedToS));
    Stretch stretch;
    stretch.first = static_cast<std::ptrdiff_t>((start - 0.005) * sampleRateHz);
    stretch.length =
        std::min(static_cast<std::size_t>((to - start + 0.005) * sampleRateHz), circularImpulse.size());
    out.samples.resize(stretch.length);
    copyStretch(circularImpulse, stretch, out.samples);
    out.firstSampleS = static_cast<double>(stretch.first) / sampleRateHz;
    return out;
}

}  // namespace volvelle
