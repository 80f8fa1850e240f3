#include "Response/WindowedPressures.h"

#include "Text/Error.h"

#include <cmath>
#include <utility>

namespace volvelle {

WindowedPressures::WindowedPressures(const ReadableRun& run, std::size_t drive, const ResolvedRecipe& recipe,
                                     std::vector<double> frequenciesHz)
    : record_(run.record().drives.at(drive)),
      noiseField_(recipeField(recipe.recipe, "/subtract_noise")),
      impulses_(run, drive),
      meter_(impulses_, run.record(), record_, recipe, std::move(frequenciesHz)) {
    positions_ = measuredPositions(record_, recipe.recipe);
    frequencyHz_ = meter_.frequencyHz();
    notes_ = meter_.notes();
}

WindowedPressures::Workspace::Workspace(const WindowedPressures& p)
    : impulse(p.impulses_), meter(p.meter_), other(p.frequencyHz_.size()) {
}

void WindowedPressures::prepare(int workers) {
    if (std::ssize(workspaces_) < workers) workspaces_.resize(static_cast<std::size_t>(workers));
}

WindowedPressures::Workspace& WindowedPressures::workspaceOf(int worker) {
    auto& workspace = workspaces_.at(static_cast<std::size_t>(worker));
    if (!workspace) workspace = std::make_unique<Workspace>(*this);
    return *workspace;
}

void WindowedPressures::pressureOf(std::size_t capture, Workspace& w,
                                   std::span<std::complex<double>> out) const {
    w.last = impulses_.impulse(capture, w.impulse);
    meter_.pressure(w.last, record_.captures[capture], w.meter, out);
}

void WindowedPressures::at(std::size_t position, int worker, std::span<std::complex<double>> out) {
    Workspace& w = workspaceOf(worker);
    const auto& captures = positions_.at(position).captures;
    meanPressure(captures, out, w.other, [&](std::size_t capture, std::span<std::complex<double>> one) {
        pressureOf(capture, w, one);
    });
}

void WindowedPressures::noisePower(std::size_t position, int worker, std::span<double> out) {
    Workspace& w = workspaceOf(worker);
    const auto& captures = positions_.at(position).captures;
    if (!meter_.noisePower(w.last, record_.captures[captures.back()], w.meter, out))
        throw Error(ErrorKind::input, "the recordings leave no quiet stretch to measure the noise in",
                    noiseField_, "Leave the noise in, or shorten the window");
    for (double& p : out) p /= static_cast<double>(captures.size());
}

}  // namespace volvelle
