#pragma once

#include "Response/Pressures.h"
#include "Signal/Aligned.h"

#include <memory>
#include <vector>

namespace volvelle {

/// The impulse responses of one drive kept in memory, so that another recipe needs no recordings: a cache
/// that may be thrown away. The run must outlive it.
class KeptImpulses {
public:
    /// Deconvolves every position's captures. Throws as ImpulseSource and SealedRun do.
    KeptImpulses(const ReadableRun& run, std::size_t drive, int jobs);

    const ReadableRun& run() const { return run_; }
    std::size_t drive() const { return drive_; }
    const ImpulseSource& source() const { return source_; }
    const Stretch& stretch() const { return stretch_; }  ///< what is kept of each impulse
    /// Empty for captures that serve for no position.
    std::span<const float> impulse(std::size_t capture) const { return impulses_.at(capture); }

private:
    const ReadableRun& run_;
    std::size_t drive_;
    ImpulseSource source_;
    Stretch stretch_;
    std::vector<AlignedVector<float>> impulses_;
};

/// Windows that the drives of a run share, and the memory of the threads that work with them.
struct SharedWindows {
    SharedWindows(const ResolvedRecipe& recipe, std::span<const double> frequenciesHz, double sampleRateHz)
        : spectrum(recipe, frequenciesHz, sampleRateHz) {}
    WindowedSpectrum spectrum;
    std::vector<WindowedSpectrum::Workspace> workspaces;  ///< one for each thread
};

/// Pressures of kept impulses through windows.
class KeptPressures final : public Pressures {
public:
    /// windows: shared by drives that are worked on one after the other. Throws Error{input} for windows that reach
    /// beyond what is kept.
    KeptPressures(const KeptImpulses& impulses, const ResolvedRecipe& recipe,
                  std::shared_ptr<SharedWindows> windows, std::vector<double> frequenciesHz);

    void prepare(int workers) override;
    void at(std::size_t position, int worker, std::span<std::complex<double>> out) override;
    void noisePower(std::size_t position, int worker,
                    std::span<double> out) override;  ///< throws Error{input}

private:
    void spectrumOf(std::size_t capture, WindowedSpectrum::Workspace& w,
                    std::span<std::complex<double>> out) const;

    const KeptImpulses& impulses_;
    std::shared_ptr<SharedWindows> windows_;
    Corrections corrections_;
    std::vector<std::vector<std::complex<double>>> others_;
};

}  // namespace volvelle
