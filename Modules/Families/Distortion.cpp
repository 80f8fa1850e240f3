#include "Families/Distortion.h"

#include "Response/Corrections.h"
#include "Response/WindowedPressures.h"
#include "Response/WindowedSpectrum.h"
#include "Signal/Smoothing.h"

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

constexpr double leadInS = 0.0025, fadeInS = 0.0015, longestS = 0.1, clearOfNextS = 0.004;

/// The window over harmonic n: from just before its arrival, clear of the next lower harmonic, which comes
/// later.
ResolvedRecipe harmonicWindow(const ResolvedRecipe& recipe, const ExponentialSweep& sweep, int n,
                              double arrivalS) {
    ResolvedRecipe out = recipe;
    const double start = arrivalS - sweep.leadS(n) - leadInS;
    const double gap = sweep.leadS(n) - sweep.leadS(n - 1);
    const double length = std::min(longestS, gap - clearOfNextS);
    out.lowWindow.reset();
    out.window = {start, fadeInS, 0.3 * length, start + length};
    return out;
}

/// Windows and transforms of one harmonic at n times the fundamentals.
class HarmonicMeter {
public:
    HarmonicMeter(const ImpulseSource& source, const RunRecord& run, const DriveRecord& drive,
                  const ResolvedRecipe& window, std::vector<double> frequenciesHz)
        : source_(source),
          spectrum_(window, frequenciesHz, source.sampleRateHz()),
          corrections_(run, drive, window.recipe, frequenciesHz,
                       [&source](double f) { return source.shape(f); }),
          frequenciesHz_(std::move(frequenciesHz)) {}

    std::vector<double> power(std::span<const float> impulse, const Stretch& stretch,
                              const Capture& capture) const {
        std::vector<float> part(stretch.length);
        copyStretch(impulse, stretch, part);
        WindowedSpectrum::Workspace workspace(spectrum_);
        std::vector<std::complex<double>> spectrum(frequenciesHz_.size());
        spectrum_(part, workspace, spectrum);
        corrections_.apply(capture, spectrum);
        std::vector<double> out;
        for (const auto& p : spectrum) out.push_back(std::norm(p));
        return out;
    }

    std::vector<double> harmonic(std::span<const float> impulse, const Capture& capture) const {
        return power(impulse, spectrum_.stretch(), capture);
    }

    std::vector<double> noise(std::span<const float> impulse, const Capture& capture) const {
        const auto quiet = quietStretch(source_, spectrum_.stretch());
        if (!quiet) return std::vector<double>(frequenciesHz_.size(), notStated);
        return smoothedPower(frequenciesHz_, power(impulse, *quiet, capture), 3, frequenciesHz_);
    }

private:
    const ImpulseSource& source_;
    WindowedSpectrum spectrum_;
    Corrections corrections_;
    std::vector<double> frequenciesHz_;
};

void addOrder(Distortion& out, const HarmonicMeter& meter, std::span<const float> impulse,
              const Capture& capture, std::span<const std::complex<double>> fundamental,
              std::size_t firstPoint, std::size_t points) {
    std::vector<double> ratio(fundamental.size(), notStated), floor(fundamental.size(), notStated);
    const auto harmonic = meter.harmonic(impulse, capture);
    const auto noise = meter.noise(impulse, capture);
    for (std::size_t i = 0; i < points; ++i) {
        const double base = std::norm(fundamental[firstPoint + i]);
        ratio[firstPoint + i] = base > 0 ? std::sqrt(harmonic[i] / base) : notStated;
        floor[firstPoint + i] = base > 0 ? std::sqrt(noise[i] / base) : notStated;
    }
    out.ratio.push_back(std::move(ratio));
    out.floor.push_back(std::move(floor));
}

}  // namespace

Distortion distortionOf(const ImpulseSource& source, std::span<const float> impulse, double arrivalS,
                        const RunRecord& run, const DriveRecord& drive, const Capture& capture,
                        const ResolvedRecipe& recipe, std::span<const double> gridHz,
                        std::span<const std::complex<double>> fundamental) {
    Distortion out;
    const Deconvolution* deconvolution = source.deconvolution();
    if (deconvolution == nullptr || !deconvolution->sweep()) {
        out.missing = deconvolution == nullptr ? "impulse responses do not tell harmonics apart"
                                               : "the excitation is not an exponential sweep";
        return out;
    }
    const Band band = excitedGrid(source.band());
    const double highest = std::min(band.highHz, 0.5 * source.sampleRateHz());
    const auto first =
        static_cast<std::size_t>(std::lower_bound(gridHz.begin(), gridHz.end(), band.lowHz) - gridHz.begin());
    for (int n = 2; n <= 5; ++n) {
        std::vector<double> frequencies;
        for (std::size_t i = first; i < gridHz.size() && n * gridHz[i] <= highest; ++i)
            frequencies.push_back(n * gridHz[i]);
        if (frequencies.empty()) continue;
        const std::size_t points = frequencies.size();
        const HarmonicMeter meter(source, run, drive,
                                  harmonicWindow(recipe, *deconvolution->sweep(), n, arrivalS),
                                  std::move(frequencies));
        out.orders.push_back(n);
        addOrder(out, meter, impulse, capture, fundamental, first, points);
    }
    out.total.assign(gridHz.size(), notStated);
    for (std::size_t i = 0; i < gridHz.size(); ++i) {
        double sum = 0;
        for (const auto& ratio : out.ratio)
            if (std::isfinite(ratio[i])) sum += ratio[i] * ratio[i];
        if (sum > 0) out.total[i] = std::sqrt(sum);
    }
    return out;
}

}  // namespace volvelle
