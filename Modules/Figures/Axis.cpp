#include "Figures/Axis.h"

#include "Text/Number.h"

namespace volvelle {

namespace {

constexpr double rim = 1e-9;

std::vector<double> within(const FrequencyAxis& axis, const std::vector<int>& digits) {
    std::vector<double> out;
    const int first = static_cast<int>(std::floor(std::log10(axis.lowHz))),
              last = static_cast<int>(std::ceil(std::log10(axis.highHz)));
    for (int power = first; power <= last; ++power) {
        for (const int digit : digits) {
            const double hz = digit * std::pow(10.0, power);
            if (hz >= axis.lowHz * (1 - rim) && hz <= axis.highHz * (1 + rim)) out.push_back(hz);
        }
    }
    return out;
}

}  // namespace

std::vector<double> FrequencyAxis::lines() const {
    return within(*this, {1, 2, 3, 4, 5, 6, 7, 8, 9});
}

std::vector<double> FrequencyAxis::labels() const {
    return within(*this, {1, 2, 5});
}

std::vector<double> LevelAxis::multiplesOf(double step) const {
    std::vector<double> out;
    const auto first = static_cast<long>(std::ceil(low / step - rim)),
               last = static_cast<long>(std::floor(high / step + rim));
    for (long k = first; k <= last; ++k) out.push_back(static_cast<double>(k) * step);
    return out;
}

std::string axisFrequency(double hz) {
    return hz >= 1000 ? significantText(hz / 1000, 4) + " k" : significantText(hz, 4);
}

double roundStep(double range, int parts) {
    const double wished = range / parts, power = std::pow(10.0, std::floor(std::log10(wished)));
    for (const double digit : {1.0, 2.0, 5.0}) {
        if (digit * power >= wished * 0.75) return digit * power;
    }
    return 10 * power;
}

}  // namespace volvelle
