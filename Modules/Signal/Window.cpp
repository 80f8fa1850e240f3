#include "Signal/Window.h"

#include "Text/Error.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

double raisedCosine(double part) {
    if (part >= 1) return 1;
    return 0.5 - 0.5 * std::cos(std::numbers::pi * std::clamp(part, 0.0, 1.0));
}

}  // namespace

double Window::valueAt(double timeS) const {
    if (timeS < startS || timeS > endS) return 0;
    const double rise = fadeInS > 0 ? raisedCosine((timeS - startS) / fadeInS) : 1;
    const double fall = fadeOutS > 0 ? raisedCosine((endS - timeS) / fadeOutS) : 1;
    return rise * fall;
}

SampledWindow sampled(const Window& window, double sampleRateHz) {
    if (!(window.endS > window.startS))
        throw Error(ErrorKind::bug, "a window that ends before it starts", "", "");
    SampledWindow out;
    out.firstSample = static_cast<std::ptrdiff_t>(std::ceil(window.startS * sampleRateHz));
    const auto last = static_cast<std::ptrdiff_t>(std::floor(window.endS * sampleRateHz));
    for (auto n = out.firstSample; n <= last; ++n)
        out.weights.push_back(window.valueAt(static_cast<double>(n) / sampleRateHz));
    if (out.weights.empty())
        throw Error(ErrorKind::input, "the window is shorter than a sample", "recipe", "");
    return out;
}

}  // namespace volvelle
