#include "Signal/Smoothing.h"

#include "Text/Error.h"

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

/// Integral of the piecewise linear power over logarithmic frequency, for means over any stretch of it.
class LogIntegral {
public:
    LogIntegral(std::span<const double> frequenciesHz, std::span<const double> power) : power_(power) {
        for (const double f : frequenciesHz) at_.push_back(std::log2(f));
        sum_.assign(at_.size(), 0);
        for (std::size_t i = 1; i < at_.size(); ++i)
            sum_[i] = sum_[i - 1] + 0.5 * (power[i] + power[i - 1]) * (at_[i] - at_[i - 1]);
    }

    double first() const { return at_.front(); }
    double last() const { return at_.back(); }

    double until(double x) const {
        const auto above = std::upper_bound(at_.begin(), at_.end(), x);
        const auto i =
            static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(above - at_.begin(), 1, std::ssize(at_) - 1));
        const double step = x - at_[i - 1];
        const double slope = (power_[i] - power_[i - 1]) / (at_[i] - at_[i - 1]);
        return sum_[i - 1] + step * (power_[i - 1] + 0.5 * slope * step);
    }

private:
    std::span<const double> power_;
    std::vector<double> at_, sum_;
};

}  // namespace

std::vector<double> smoothedPower(std::span<const double> frequenciesHz, std::span<const double> power,
                                  int fraction, std::span<const double> wantedHz) {
    if (frequenciesHz.size() != power.size() || fraction < 0 ||
        (fraction == 0 && wantedHz.size() != power.size()))
        throw Error(ErrorKind::bug, "smoothing of a curve that does not fit its grid", "", "");
    if (fraction == 0 || power.size() < 2) return {power.begin(), power.end()};
    const LogIntegral integral(frequenciesHz, power);
    constexpr double point = 1e-8;  // octaves: as good as the value itself, and differences keep their digits
    std::vector<double> out;
    for (const double f : wantedHz) {
        const double x = std::clamp(std::log2(f), integral.first() + point, integral.last() - point);
        const double half =
            std::max(point, std::min({0.5 / fraction, x - integral.first(), integral.last() - x}));
        out.push_back((integral.until(x + half) - integral.until(x - half)) / (2 * half));
    }
    return out;
}

}  // namespace volvelle
