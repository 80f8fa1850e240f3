#include "Response/WindowedSpectrum.h"

#include "Signal/ComplexLoops.h"
#include "Text/Error.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

namespace volvelle {

double lowWindowShare(const Recipe& recipe, double frequencyHz) {
    if (!recipe.crossFadeHz) return 0;
    const double octaves = std::log2(frequencyHz / *recipe.crossFadeHz);
    if (recipe.crossFadeOctaves <= 0) return octaves < 0 ? 1 : 0;
    const double part = std::clamp(0.5 + octaves / recipe.crossFadeOctaves, 0.0, 1.0);
    return 0.5 + 0.5 * std::cos(std::numbers::pi * part);
}

WindowedSpectrum::Part::Part(const Window& wanted, std::span<const double> frequenciesHz,
                             std::span<const double> share, std::size_t first, double sampleRateHz)
    : window(sampled(wanted, sampleRateHz)),
      sampler(frequenciesHz, sampleRateHz, window.weights.size()),
      firstFrequency(first) {
    std::transform(window.weights.begin(), window.weights.end(), sampler.correction().begin(),
                   window.weights.begin(), std::multiplies<>());
    const double delayS = static_cast<double>(window.firstSample) / sampleRateHz;
    for (std::size_t i = 0; i < frequenciesHz.size(); ++i)
        turn.push_back(std::polar(share[i], -2 * std::numbers::pi * frequenciesHz[i] * delayS));
}

void WindowedSpectrum::Part::spectrum(std::span<const float> impulse, std::ptrdiff_t impulseFirst,
                                      SpectrumSampler::Workspace& w,
                                      std::span<std::complex<double>> out) const {
    const float* from = impulse.data() + (window.firstSample - impulseFirst);
    const auto signal = w.signal();
    for (std::size_t n = 0; n < signal.size(); ++n) signal[n] = double{from[n]} * window.weights[n];
    sampler.transformAndGather(w, out);
    multiplyInPlace<double>(out, turn);
}

WindowedSpectrum::Part WindowedSpectrum::mainPart(const ResolvedRecipe& recipe,
                                                  std::span<const double> frequenciesHz, double rate) {
    std::vector<double> share;
    for (const double f : frequenciesHz)
        share.push_back(recipe.lowWindow ? 1 - lowWindowShare(recipe.recipe, f) : 1);
    // The frequencies grow: those that belong to the low window alone come first.
    const auto first = static_cast<std::size_t>(
        std::find_if(share.begin(), share.end(), [](double s) { return s > 0; }) - share.begin());
    return {recipe.window, frequenciesHz.subspan(first), std::span<const double>(share).subspan(first), first,
            rate};
}

std::optional<WindowedSpectrum::Part> WindowedSpectrum::lowPart(const ResolvedRecipe& recipe,
                                                                std::span<const double> frequenciesHz,
                                                                double rate) {
    if (!recipe.lowWindow) return std::nullopt;
    std::vector<double> share;
    for (const double f : frequenciesHz)
        if (const double s = lowWindowShare(recipe.recipe, f); s > 0) share.push_back(s);
    return Part(*recipe.lowWindow, frequenciesHz.first(share.size()), share, 0, rate);
}

WindowedSpectrum::WindowedSpectrum(const ResolvedRecipe& recipe, std::span<const double> frequenciesHz,
                                   double sampleRateHz)
    : frequencyCount_(frequenciesHz.size()),
      sampleRateHz_(sampleRateHz),
      main_(mainPart(recipe, frequenciesHz, sampleRateHz)),
      low_(lowPart(recipe, frequenciesHz, sampleRateHz)) {
    if (!std::is_sorted(frequenciesHz.begin(), frequenciesHz.end()))
        throw Error(ErrorKind::bug, "a frequency grid that does not grow", "", "");
    const auto endOf = [](const SampledWindow& w) { return w.firstSample + std::ssize(w.weights); };
    stretch_.first = main_.window.firstSample;
    auto end = endOf(main_.window);
    if (low_) {
        stretch_.first = std::min(stretch_.first, low_->window.firstSample);
        end = std::max(end, endOf(low_->window));
    }
    stretch_.length = static_cast<std::size_t>(end - stretch_.first);
}

WindowedSpectrum::Workspace::Workspace(const WindowedSpectrum& spectrum) : main_(spectrum.main_.sampler) {
    if (!spectrum.low_) return;
    low_.emplace(spectrum.low_->sampler);
    lowSpectrum_.resize(spectrum.low_->sampler.frequencyCount());
}

void WindowedSpectrum::operator()(std::span<const float> impulse, Workspace& w,
                                  std::span<std::complex<double>> out) const {
    if (impulse.size() != stretch_.length || out.size() != frequencyCount_)
        throw Error(ErrorKind::bug, "an impulse or a grid of another length", "", "");
    std::fill_n(out.begin(), main_.firstFrequency, 0.0);
    main_.spectrum(impulse, stretch_.first, w.main_, out.subspan(main_.firstFrequency));
    if (!low_) return;
    low_->spectrum(impulse, stretch_.first, *w.low_, w.lowSpectrum_);
    for (std::size_t i = 0; i < w.lowSpectrum_.size(); ++i) out[i] += w.lowSpectrum_[i];
}

void copyStretch(std::span<const float> circularImpulse, const Stretch& stretch, std::span<float> out) {
    const auto length = static_cast<std::ptrdiff_t>(circularImpulse.size());
    if (std::ssize(out) > length) throw Error(ErrorKind::bug, "a stretch longer than the impulse", "", "");
    auto from = stretch.first % length;
    if (from < 0) from += length;
    const auto untilEnd = std::min(std::ssize(out), length - from);
    std::copy_n(circularImpulse.begin() + from, untilEnd, out.begin());
    std::copy_n(circularImpulse.begin(), std::ssize(out) - untilEnd, out.begin() + untilEnd);
}

}  // namespace volvelle
