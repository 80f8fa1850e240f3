#include "Run/Capture.h"

#include <cmath>

namespace volvelle {

const std::vector<double>& judgedOctavesHz() {
    static const std::vector<double> centres = [] {
        std::vector<double> hz;
        // IEC 61260-1:2014: exact mid-band frequencies of octaves are 1000 · 10^(0.3 n) Hz.
        for (int n = -5; n <= 4; ++n) hz.push_back(1000.0 * std::pow(10.0, 0.3 * n));
        return hz;
    }();
    return centres;
}

std::string positionName(const Capture& capture) {
    if (!capture.orbit || !std::isfinite(capture.angleDeg)) return positionName(capture.direction, capture.orbit);
    return positionName(directionOn(*capture.orbit, capture.angleDeg), capture.orbit);
}

}  // namespace volvelle
