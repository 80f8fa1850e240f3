#include "Families/Distortion.h"

#include "Response/ImpulseMeter.h"
#include "Text/Number.h"

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

// Where the excitation fades out at the end of its band there is little to divide by, and what harmonics lie
// there is lost.
constexpr double edgePart = 0.95;
constexpr double longestS = 0.1, clearOfNextS = 0.004;
// A harmonic's impulse begins before its arrival: its band starts at n times the sweep's start, and rings
// both ways. On a polynomial these keep ratios right to 0.2 % from 2.5 times that start on.
constexpr double leadPart = 0.3, longestLeadS = 0.03, fadePart = 0.7;

/// The window over harmonic n: from before its arrival, clear of the next lower harmonic, which comes later.
ResolvedRecipe harmonicWindow(const ResolvedRecipe& recipe, const ExponentialSweep& sweep, int n,
                              double arrivalS) {
    ResolvedRecipe out = recipe;
    const double lead = std::min(longestLeadS, leadPart * (sweep.leadS(n + 1) - sweep.leadS(n)));
    const double start = arrivalS - sweep.leadS(n) - lead;
    const double gap = sweep.leadS(n) - sweep.leadS(n - 1);
    const double length = std::min(lead + longestS, std::max(gap - clearOfNextS, 0.5 * gap));
    out.lowWindow.reset();
    out.window = {start, std::min(fadePart * lead, 0.5 * length), 0.3 * length, start + length};
    return out;
}

void addOrder(Distortion& out, const ImpulseMeter& meter, std::span<const float> impulse,
              const Capture& capture, std::span<const std::complex<double>> fundamental,
              std::size_t firstPoint) {
    const std::size_t points = meter.frequencyHz().size();
    std::vector<double> ratio(fundamental.size(), notStated), floor(fundamental.size(), notStated);
    std::vector<std::complex<double>> harmonic(points);
    std::vector<double> noise(points, notStated);
    ImpulseMeter::Workspace workspace(meter);
    meter.pressure(impulse, capture, workspace, harmonic);
    meter.noisePower(impulse, capture, workspace, noise);
    for (std::size_t i = 0; i < points; ++i) {
        const double base = std::norm(fundamental[firstPoint + i]);
        ratio[firstPoint + i] = base > 0 ? std::sqrt(std::norm(harmonic[i]) / base) : notStated;
        floor[firstPoint + i] = base > 0 ? std::sqrt(noise[i] / base) : notStated;
    }
    out.ratio.push_back(std::move(ratio));
    out.floor.push_back(std::move(floor));
}

bool hasGain(const RunRecord& run, const DriveRecord& drive) {
    const DrivePlan* planned = plannedDrive(run.plan, drive.name);
    return planned != nullptr &&
           std::any_of(run.plan.sections.begin(), run.plan.sections.end(), [&](const SectionPlan& section) {
               const auto& playing = planned->sections;
               return std::find(playing.begin(), playing.end(), section.name) != playing.end() &&
                      std::isfinite(section.gainDb) && section.gainDb != 0;
           });
}

void addLevel(Distortion& out, const RunRecord& run, const DriveRecord& drive) {
    double peak = 0;
    for (const float sample : drive.excitation.samples) peak = std::max(peak, std::abs(double{sample}));
    if (!(peak > 0)) return;
    out.peakFullScale = peak;
    if (run.plan.driveQuantity != DriveQuantity::digitalFullScale)
        out.peakV = peak * run.calibration.voltsPerFullScale;
    out.drivenAt =
        "peak of the excitation " + (std::isfinite(out.peakV) ? significantText(out.peakV, 4) + " V"
                                                              : significantText(peak, 4) + " of full scale");
    if (hasGain(run, drive)) out.drivenAt += " before the sections' gains";
}

/// Of the noise in the fundamental, re the fundamental.
std::vector<double> fundamentalFloor(const ImpulseMeter& meter, std::span<const float> impulse,
                                     const Capture& capture,
                                     std::span<const std::complex<double>> fundamental) {
    std::vector<double> noise(fundamental.size(), notStated), floor(fundamental.size(), notStated);
    ImpulseMeter::Workspace workspace(meter);
    if (!meter.noisePower(impulse, capture, workspace, noise)) return floor;
    for (std::size_t i = 0; i < floor.size(); ++i)
        if (const double base = std::norm(fundamental[i]); base > 0) floor[i] = std::sqrt(noise[i] / base);
    return floor;
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
    addLevel(out, run, drive);
    out.fundamentalFloor =
        fundamentalFloor(ImpulseMeter(source, run, drive, recipe, {gridHz.begin(), gridHz.end()}), impulse,
                         capture, fundamental);
    const Band band = excitedGrid(source.band());
    const double highest = edgePart * std::min(source.band().highHz, 0.5 * source.sampleRateHz());
    const auto first =
        static_cast<std::size_t>(std::lower_bound(gridHz.begin(), gridHz.end(), band.lowHz) - gridHz.begin());
    for (int n = 2; n <= 5; ++n) {
        std::vector<double> frequencies;
        for (std::size_t i = first; i < gridHz.size() && n * gridHz[i] <= highest; ++i)
            frequencies.push_back(n * gridHz[i]);
        if (frequencies.empty()) continue;
        const ImpulseMeter meter(source, run, drive,
                                 harmonicWindow(recipe, *deconvolution->sweep(), n, arrivalS),
                                 std::move(frequencies));
        out.orders.push_back(n);
        addOrder(out, meter, impulse, capture, fundamental, first);
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
