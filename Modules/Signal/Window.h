#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace volvelle {

/// A window in seconds after time zero: rises as a raised cosine over fadeInS from startS, is one, and falls
/// over fadeOutS to endS.
struct Window {
    double startS, fadeInS, fadeOutS, endS;
    double lengthS() const { return endS - startS; }
    /// Frequency below which nothing is resolved: about one over the length.
    double resolutionHz() const { return 1 / lengthS(); }
    double valueAt(double timeS) const;
};

/// The window on samples: the first one's number (may be negative) and a weight for each.
struct SampledWindow {
    std::ptrdiff_t firstSample;
    std::vector<double> weights;
};

/// Throws Error{input} for a window shorter than a sample.
SampledWindow sampled(const Window& window, double sampleRateHz);

}  // namespace volvelle
