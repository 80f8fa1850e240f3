#include "Quality/FirstArrival.h"

#include "Quality/Statistics.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>
#include <vector>

namespace volvelle {
namespace {

constexpr double partOfGreatest = 0.25;
constexpr double timesNoise = 5, timesNoiseForGreatest = 8;
constexpr double lookBackS = 0.02;

std::vector<double> gaussian(double sampleRateHz, double bandHighHz) {
    const double sigmaHz = std::min(bandHighHz, 0.45 * sampleRateHz) / 3;
    const double sigma = sampleRateHz / (2 * std::numbers::pi * sigmaHz);  // samples
    const auto reach = static_cast<int>(std::ceil(5 * sigma));
    std::vector<double> kernel;
    double sum = 0;
    for (int i = -reach; i <= reach; ++i) {
        kernel.push_back(std::exp(-i * i / (2 * sigma * sigma)));
        sum += kernel.back();
    }
    for (double& k : kernel) k /= sum;
    return kernel;
}

class SmoothedImpulse {
public:
    SmoothedImpulse(std::span<const float> impulse, std::vector<double> kernel)
        : impulse_(impulse), kernel_(std::move(kernel)) {}

    double at(std::ptrdiff_t n) const {
        const auto count = std::ssize(impulse_), reach = std::ssize(kernel_) / 2;
        double sum = 0;
        std::ptrdiff_t i = (((n - reach) % count) + count) % count;
        for (const double k : kernel_) {
            sum += k * double{impulse_[static_cast<std::size_t>(i)]};
            if (++i == count) i = 0;
        }
        return sum;
    }

private:
    std::span<const float> impulse_;
    std::vector<double> kernel_;
};

double rms(const SmoothedImpulse& h, std::ptrdiff_t from, std::ptrdiff_t to) {
    // Every 7th value is enough; the median holds against what is not noise.
    std::vector<double> magnitudes;
    for (std::ptrdiff_t n = from; n < to; n += 7) magnitudes.push_back(std::abs(h.at(n)));
    if (magnitudes.empty()) return 0;
    return median(std::move(magnitudes)) / 0.6745;
}

/// Where between its neighbours the summit of a bell lies, -0.5 ... 0.5: a parabola through the logarithms.
double summit(double before, double here, double after) {
    if (!(before * here > 0) || !(after * here > 0)) return 0;
    const double a = std::log(before / here), c = std::log(after / here);
    return a + c < 0 ? std::clamp((a - c) / (2 * (a + c)), -0.5, 0.5) : 0;
}

}  // namespace

std::optional<FirstArrival> firstArrival(std::span<const float> impulse, double sampleRateHz,
                                         double bandHighHz, std::ptrdiff_t searchFrom,
                                         std::ptrdiff_t searchTo, std::ptrdiff_t quietFrom,
                                         std::ptrdiff_t quietTo) {
    const SmoothedImpulse h(impulse, gaussian(sampleRateHz, bandHighHz));
    double greatest = 0;
    std::ptrdiff_t greatestAt = searchFrom;
    for (std::ptrdiff_t n = searchFrom; n < searchTo; ++n)
        if (const double v = std::abs(h.at(n)); v > greatest) {
            greatest = v;
            greatestAt = n;
        }
    const double noise = rms(h, quietFrom, quietTo);
    if (!(greatest > timesNoiseForGreatest * noise) || !(greatest > 0)) return std::nullopt;
    const double threshold = std::max(partOfGreatest * greatest, timesNoise * noise);
    const auto lookBack = static_cast<std::ptrdiff_t>(lookBackS * sampleRateHz);
    for (std::ptrdiff_t n = std::max(searchFrom, greatestAt - lookBack); n <= greatestAt; ++n) {
        const double here = h.at(n), before = h.at(n - 1), after = h.at(n + 1);
        const double size = std::abs(here);
        if (size < threshold || std::abs(before) > size || std::abs(after) > size) continue;
        return FirstArrival{(static_cast<double>(n) + summit(before, here, after)) / sampleRateHz,
                            here > 0 ? 1 : -1};
    }
    return FirstArrival{static_cast<double>(greatestAt) / sampleRateHz, h.at(greatestAt) > 0 ? 1 : -1};
}

}  // namespace volvelle
