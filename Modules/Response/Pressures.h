#pragma once

#include "Response/Corrections.h"
#include "Response/ImpulseSource.h"
#include "Response/Positions.h"
#include "Response/WindowedSpectrum.h"

#include <complex>
#include <functional>
#include <memory>
#include <span>
#include <vector>

namespace volvelle {

/// Complex pressures in Pa at 1 m, for the reference input, of the positions of one drive.
class Pressures {
public:
    virtual ~Pressures() = default;
    const std::vector<MeasuredPosition>& positions() const { return positions_; }
    const std::vector<double>& frequencyHz() const { return frequencyHz_; }
    const std::vector<std::string>& notes() const { return notes_; }

    /// Prepares memory for this many threads. To be called before at().
    virtual void prepare(int workers) = 0;

    /// Pressures at one position (phase against time zero, e^(+jωt), propagation included). Threads with
    /// different worker numbers may call at once.
    virtual void at(std::size_t position, int worker, std::span<std::complex<double>> out) = 0;

    /// Whether the phases of what at() gave last for this worker mean anything.
    virtual bool hasPhase(int /*worker*/) const { return true; }

    /// Expected squared pressure of the noise in what at() gave last for this worker.
    virtual void noisePower(std::size_t position, int worker, std::span<double> out) = 0;

protected:
    std::vector<MeasuredPosition> positions_;
    std::vector<double> frequencyHz_;
    std::vector<std::string> notes_;
};

/// Complex mean of what pressureOf gives for each capture. other: memory of the same size.
void meanPressure(
    std::span<const std::size_t> captures, std::span<std::complex<double>> out,
    std::span<std::complex<double>> other,
    const std::function<void(std::size_t capture, std::span<std::complex<double>> one)>& pressureOf);

/// The frequencies of a recipe, at least one, none above half the sample rate. Throws Error{input} for a grid
/// that reaches beyond it or holds no band centre.
std::vector<double> gridOf(const Recipe& recipe, double sampleRateHz);

/// Of a sealed run's drive: recordings and impulse responses through windows, text responses on their own
/// grid. frequenciesHz: empty for the recipe's grid (ignored for text responses). The run must outlive it.
std::unique_ptr<Pressures> pressuresOf(const ReadableRun& run, std::size_t drive,
                                       const ResolvedRecipe& recipe, std::vector<double> frequenciesHz = {});

}  // namespace volvelle
