#include "Response/ImpulseMeter.h"

#include "Signal/Smoothing.h"

#include <algorithm>
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

ImpulseMeter::ImpulseMeter(const ImpulseSource& source, const RunRecord& run, const DriveRecord& drive,
                           const ResolvedRecipe& recipe, std::vector<double> frequenciesHz)
    : spectrum_(recipe, frequenciesHz, source.sampleRateHz()),
      corrections_(run, drive, recipe.recipe, frequenciesHz, [&source](double f) { return source.shape(f); }),
      quiet_(quietStretch(source, spectrum_.stretch())),
      frequenciesHz_(std::move(frequenciesHz)) {
}

ImpulseMeter::Workspace::Workspace(const ImpulseMeter& meter)
    : spectrum(meter.spectrum_),
      stretch(meter.spectrum_.stretch().length),
      noise(meter.frequenciesHz_.size()) {
}

void ImpulseMeter::measure(std::span<const float> circularImpulse, const Stretch& stretch,
                           const Capture& capture, Workspace& w, std::span<std::complex<double>> out) const {
    copyStretch(circularImpulse, stretch, w.stretch);
    spectrum_(w.stretch, w.spectrum, out);
    corrections_.apply(capture, out);
}

void ImpulseMeter::pressure(std::span<const float> circularImpulse, const Capture& capture, Workspace& w,
                            std::span<std::complex<double>> out) const {
    measure(circularImpulse, spectrum_.stretch(), capture, w, out);
}

bool ImpulseMeter::noisePower(std::span<const float> circularImpulse, const Capture& capture, Workspace& w,
                              std::span<double> out) const {
    if (!quiet_) return false;
    measure(circularImpulse, *quiet_, capture, w, w.noise);
    std::vector<double> power;
    for (const auto& p : w.noise) power.push_back(std::norm(p));
    // One stretch is one draw: its mean over a third octave is nearer to what is expected.
    const auto smooth = smoothedPower(frequenciesHz_, power, 3, frequenciesHz_);
    std::copy(smooth.begin(), smooth.end(), out.begin());
    return true;
}

}  // namespace volvelle
