#include "Response/KeptImpulses.h"

#include "Signal/ParallelFor.h"
#include "Text/Error.h"

#include <algorithm>
#include <utility>

namespace volvelle {

namespace {

// Widest stretch that windows are drawn over.
constexpr double keptBeforeS = 0.02, keptAfterS = 1.0;

Stretch keptStretch(const ImpulseSource& source) {
    const auto length = static_cast<std::ptrdiff_t>(source.length());
    const auto samples = [&](double seconds) {
        return static_cast<std::ptrdiff_t>(seconds * source.sampleRateHz());
    };
    const auto before = std::min(samples(keptBeforeS), length / 2);
    const auto after = std::min(samples(keptAfterS), length / 2);
    return {-before, static_cast<std::size_t>(before + after)};
}

}  // namespace

KeptImpulses::KeptImpulses(const ReadableRun& run, std::size_t drive, int jobs)
    : run_(run), drive_(drive), source_(run, drive), stretch_(keptStretch(source_)) {
    const DriveRecord& record = run.record().drives.at(drive);
    impulses_.resize(record.captures.size());
    std::vector<ImpulseSource::Workspace> workspaces;
    for (int worker = 0; worker < std::max(jobs, 1); ++worker) workspaces.emplace_back(source_);
    parallelFor(record.captures.size(), jobs, [&](std::size_t c, int worker) {
        const Capture& capture = record.captures[c];
        if (capture.kind != CaptureKind::position || capture.state == CaptureState::superseded) return;
        const auto impulse = source_.impulse(c, workspaces[static_cast<std::size_t>(worker)]);
        impulses_[c].resize(stretch_.length);
        copyStretch(impulse, stretch_, impulses_[c]);
    });
}

KeptPressures::KeptPressures(const KeptImpulses& impulses, const ResolvedRecipe& recipe,
                             std::shared_ptr<SharedWindows> windows,
                             std::vector<double> frequenciesHz)
    : impulses_(impulses),
      windows_(std::move(windows)),
      corrections_(impulses.run().record(), impulses.run().record().drives.at(impulses.drive()),
                   recipe.recipe, frequenciesHz,
                   [&impulses](double f) { return impulses.source().shape(f); }) {
    const Stretch& kept = impulses.stretch();
    const Stretch& wanted = windows_->spectrum.stretch();
    const auto endOf = [](const Stretch& s) { return s.first + static_cast<std::ptrdiff_t>(s.length); };
    if (wanted.first < kept.first || endOf(wanted) > endOf(kept))
        throw Error(ErrorKind::input, "the window reaches beyond what is kept of the impulses",
                    "recipe /window", "Shorten it");
    positions_ = measuredPositions(impulses.run().record().drives.at(impulses.drive()), recipe.recipe);
    frequencyHz_ = std::move(frequenciesHz);
    notes_ = corrections_.notes();
}

void KeptPressures::prepare(int workers) {
    while (std::ssize(windows_->workspaces) < workers) windows_->workspaces.emplace_back(windows_->spectrum);
    while (std::ssize(others_) < workers) others_.emplace_back(frequencyHz_.size());
}

void KeptPressures::spectrumOf(std::size_t capture, WindowedSpectrum::Workspace& w,
                               std::span<std::complex<double>> out) const {
    const auto offset = static_cast<std::size_t>(windows_->spectrum.stretch().first - impulses_.stretch().first);
    windows_->spectrum(impulses_.impulse(capture).subspan(offset, windows_->spectrum.stretch().length), w, out);
    const DriveRecord& record = impulses_.run().record().drives[impulses_.drive()];
    corrections_.apply(record.captures[capture], out);
}

void KeptPressures::at(std::size_t position, int worker, std::span<std::complex<double>> out) {
    auto& w = windows_->workspaces.at(static_cast<std::size_t>(worker));
    meanPressure(
        positions_.at(position).captures, out, others_.at(static_cast<std::size_t>(worker)),
        [&](std::size_t capture, std::span<std::complex<double>> one) { spectrumOf(capture, w, one); });
}

void KeptPressures::noisePower(std::size_t, int, std::span<double>) {
    throw Error(ErrorKind::input, "kept impulses do not tell the noise", "recipe /subtract_noise",
                "Make the family from the run itself");
}

}  // namespace volvelle
