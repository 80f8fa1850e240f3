#include "Response/WindowedPressures.h"

#include "Signal/Smoothing.h"
#include "Text/Error.h"

#include <cmath>
#include <utility>

namespace volvelle {

std::optional<Stretch> quietStretch(const ImpulseSource& impulses, const Stretch& wanted) {
    const auto length = static_cast<std::ptrdiff_t>(wanted.length);
    const auto total = static_cast<std::ptrdiff_t>(impulses.length());
    const auto busyUntil = wanted.first + length;
    if (const Deconvolution* d = impulses.deconvolution(); d && d->sweep()) {
        const auto lead = static_cast<std::ptrdiff_t>(d->sweep()->leadS(6) * impulses.sampleRateHz());
        const auto first =
            -lead - length;  // the arrival after time zero keeps it clear of the harmonic itself
        if (first + total > busyUntil) return Stretch{first, wanted.length};
    }
    const auto first = total / 2 - length;
    if (first < busyUntil) return std::nullopt;
    return Stretch{first, wanted.length};
}

WindowedPressures::WindowedPressures(const SealedRun& run, std::size_t drive, const ResolvedRecipe& recipe,
                                     std::vector<double> frequenciesHz)
    : record_(run.record().drives.at(drive)),
      impulses_(run, drive),
      spectrum_(recipe, frequenciesHz, impulses_.sampleRateHz()),
      corrections_(run.record(), record_, recipe.recipe, frequenciesHz,
                   [this](double f) { return impulses_.shape(f); }) {
    positions_ = measuredPositions(record_, recipe.recipe);
    frequencyHz_ = std::move(frequenciesHz);
    notes_ = corrections_.notes();
}

WindowedPressures::Workspace::Workspace(const WindowedPressures& p)
    : impulse(p.impulses_),
      spectrum(p.spectrum_),
      stretch(p.spectrum_.stretch().length),
      other(p.frequencyHz_.size()) {
}

void WindowedPressures::prepare(int workers) {
    while (std::ssize(workspaces_) < workers) workspaces_.emplace_back(*this);
}

void WindowedPressures::spectrumOf(std::size_t capture, Workspace& w,
                                   std::span<std::complex<double>> out) const {
    w.last = impulses_.impulse(capture, w.impulse);
    copyStretch(w.last, spectrum_.stretch(), w.stretch);
    spectrum_(w.stretch, w.spectrum, out);
    corrections_.apply(record_.captures[capture], out);
}

void WindowedPressures::at(std::size_t position, int worker, std::span<std::complex<double>> out) {
    Workspace& w = workspaces_.at(static_cast<std::size_t>(worker));
    const auto& captures = positions_.at(position).captures;
    spectrumOf(captures.front(), w, out);
    if (captures.size() == 1) return;
    for (std::size_t c = 1; c < captures.size(); ++c) {
        spectrumOf(captures[c], w, w.other);
        for (std::size_t i = 0; i < out.size(); ++i) out[i] += w.other[i];
    }
    for (auto& p : out) p /= static_cast<double>(captures.size());
}

void WindowedPressures::noisePower(std::size_t position, int worker, std::span<double> out) {
    Workspace& w = workspaces_.at(static_cast<std::size_t>(worker));
    const auto quiet = quietStretch(impulses_, spectrum_.stretch());
    if (!quiet)
        throw Error(ErrorKind::input, "the recordings leave no quiet stretch to measure the noise in",
                    "recipe /subtract_noise", "Leave the noise in, or shorten the window");
    const auto& captures = positions_.at(position).captures;
    copyStretch(w.last, *quiet, w.stretch);
    spectrum_(w.stretch, w.spectrum, w.other);
    corrections_.apply(record_.captures[captures.back()], w.other);
    std::vector<double> power;
    for (const auto& p : w.other) power.push_back(std::norm(p) / static_cast<double>(captures.size()));
    // One stretch is one draw: its mean over a third octave is nearer to what is expected.
    const auto smooth = smoothedPower(frequencyHz_, power, 3, frequencyHz_);
    std::copy(smooth.begin(), smooth.end(), out.begin());
}

}  // namespace volvelle
