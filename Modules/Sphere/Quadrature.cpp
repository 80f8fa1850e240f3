#include "Sphere/Quadrature.h"

#include "Text/Error.h"

#include <algorithm>
#include <cmath>
#include <complex>
#include <numbers>

namespace volvelle {
namespace {

constexpr double exact = 1e-9;

/// Adds w P_n^m(sin elevation) e^(jm azimuth) to sums[index(n, m)], fully normalised: the mean square of each
/// is one (of the complex harmonic). Recursion over n for each m, which is stable.
class HarmonicSums {
public:
    explicit HarmonicSums(int highest)
        : highest_(highest), sums_(static_cast<std::size_t>((highest + 1) * (highest + 2) / 2)) {}

    void add(const Direction& d, double weight) {
        constexpr double radPerDeg = std::numbers::pi / 180;
        const double z = std::sin(d.elevationDeg * radPerDeg), across = std::cos(d.elevationDeg * radPerDeg);
        double sectoral = 1;
        for (int m = 0; m <= highest_; ++m) {
            if (m > 0) sectoral *= across * std::sqrt((2.0 * m + 1) / (2.0 * m));
            column(m, z, sectoral, weight * std::polar(1.0, m * d.azimuthDeg * radPerDeg));
        }
    }

    double largest(int n) const {
        double found = 0;
        for (int m = 0; m <= n; ++m) found = std::max(found, std::abs(sums_[index(n, m)]));
        return found;
    }

    std::complex<double> mean() const { return sums_[0]; }

private:
    static std::size_t index(int n, int m) {
        const auto degree = static_cast<std::size_t>(n);
        return degree * (degree + 1) / 2 + static_cast<std::size_t>(m);
    }

    void column(int m, double z, double sectoral, std::complex<double> turn) {
        double before = 0, now = sectoral, factorBefore = 0;
        for (int n = m; n <= highest_; ++n) {
            sums_[index(n, m)] += now * turn;
            const double a = n + 1;
            const double factor = std::sqrt((4 * a * a - 1) / (a * a - m * m));
            const double next = factor * (z * now - (factorBefore == 0 ? 0 : before / factorBefore));
            before = now;
            now = next;
            factorBefore = factor;
        }
    }

    int highest_;
    std::vector<std::complex<double>> sums_;
};

}  // namespace

std::vector<double> ringWeights(std::size_t n) {
    if (n < 2 || n % 2 != 0)
        throw Error(ErrorKind::bug, "rings come in an even number of steps", "quadrature", "Report this");
    std::vector<double> weights(n + 1);
    const double steps = static_cast<double>(n);
    for (std::size_t j = 0; j <= n; ++j) {
        double sum = 1;
        for (std::size_t k = 1; k <= n / 2; ++k) {
            const double order = static_cast<double>(k), share = k == n / 2 ? 1 : 2;
            sum -= share / (4 * order * order - 1) *
                   std::cos(2 * order * static_cast<double>(j) * std::numbers::pi / steps);
        }
        weights[j] = sum / steps / (j == 0 || j == n ? 2 : 1);
    }
    return weights;
}

int exactOrder(std::span<const Direction> directions, std::span<const double> weights, int highest) {
    if (directions.size() != weights.size() || highest < 0)
        throw Error(ErrorKind::bug, "each direction has one weight", "quadrature", "Report this");
    HarmonicSums sums(highest);
    for (std::size_t i = 0; i < directions.size(); ++i) sums.add(directions[i], weights[i]);
    if (!(std::abs(sums.mean() - 1.0) <= exact)) return -1;
    for (int n = 1; n <= highest; ++n)
        if (!(sums.largest(n) <= exact)) return n - 1;
    return highest;
}

}  // namespace volvelle
