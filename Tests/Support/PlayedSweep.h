#pragma once

#include "Signal/Excitation.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace volvelle {

/// A sweep that is known at any instant, so that delays need no interpolation; raised cosines at both ends.
struct PlayedSweep {
    ExponentialSweep sweep;
    double fadeInS, fadeOutS;
    double amplitude = 1;

    double at(double t) const {
        if (t < 0 || t > sweep.durationS) return 0;
        const double in = std::min(1.0, t / fadeInS), out = std::min(1.0, (sweep.durationS - t) / fadeOutS);
        return amplitude * std::pow(std::sin(M_PI / 2 * in) * std::sin(M_PI / 2 * out), 2) *
               std::sin(2 * M_PI * sweep.startHz * sweep.rateS() * std::exp(t / sweep.rateS()));
    }

    std::vector<float> samples(double rateHz) const {
        std::vector<float> x(static_cast<std::size_t>(sweep.durationS * rateHz) + 1);
        for (std::size_t n = 0; n < x.size(); ++n)
            x[n] = static_cast<float>(at(static_cast<double>(n) / rateHz));
        return x;
    }
};

}  // namespace volvelle
