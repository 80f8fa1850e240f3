#include "Figures/OrbitField.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace volvelle {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double angleSlack = 0.02;

/// Slopes of Fritsch & Carlson in the three-point form of Brodlie, for points first ... last of an unbroken
/// stretch.
std::vector<double> slopes(const std::vector<double>& x, const std::vector<double>& y) {
    const std::size_t n = x.size();
    std::vector<double> d(n, 0.0);
    if (n < 2) return d;
    const auto secant = [&](std::size_t i) { return (y[i + 1] - y[i]) / (x[i + 1] - x[i]); };
    d.front() = secant(0);
    d.back() = secant(n - 2);
    for (std::size_t i = 1; i + 1 < n; ++i) {
        const double a = secant(i - 1), b = secant(i);
        if (a * b <= 0) continue;
        const double ha = x[i] - x[i - 1], hb = x[i + 1] - x[i], w = (ha + 2 * hb) / (3 * (ha + hb));
        d[i] = a * b / (w * b + (1 - w) * a);
    }
    return d;
}

void fillStretch(const std::vector<double>& x, const std::vector<double>& y, const std::vector<double>& at,
                 std::vector<double>& out) {
    const auto d = slopes(x, y);
    for (std::size_t k = 0; k < at.size(); ++k) {
        if (at[k] < x.front() - 1e-9 || at[k] > x.back() + 1e-9) continue;
        const auto upper = std::upper_bound(x.begin(), x.end(), at[k]);
        const auto i =
            static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(upper - x.begin() - 1, 0, std::ssize(x) - 1));
        if (i + 1 >= x.size()) {
            out[k] = y.back();
            continue;
        }
        const double h = x[i + 1] - x[i], t = (at[k] - x[i]) / h;
        const double h00 = (1 + 2 * t) * (1 - t) * (1 - t), h10 = t * (1 - t) * (1 - t);
        out[k] = h00 * y[i] + h10 * h * d[i] + (1 - h00) * y[i + 1] + t * t * (t - 1) * h * d[i + 1];
    }
}

double usualStep(const std::vector<double>& angles) {
    std::vector<double> steps;
    for (std::size_t i = 1; i < angles.size(); ++i) steps.push_back(angles[i] - angles[i - 1]);
    if (steps.empty()) return 10;
    std::nth_element(steps.begin(), steps.begin() + std::ssize(steps) / 2, steps.end());
    return steps[steps.size() / 2];
}

double largestAt(const std::vector<std::vector<double>>& levels, std::size_t frequency) {
    double largest = nan;
    for (const auto& row : levels) {
        if (!(row[frequency] <= largest) && std::isfinite(row[frequency])) largest = row[frequency];
    }
    return largest;
}

}  // namespace

std::vector<double> monotoneCubic(const std::vector<double>& x, const std::vector<double>& y,
                                  const std::vector<double>& at, double maxGap) {
    std::vector<double> out(at.size(), nan), px, py;
    for (std::size_t i = 0; i <= x.size(); ++i) {
        const bool ends = i == x.size();
        const bool known = !ends && std::isfinite(y[i]);
        const bool gap = known && !px.empty() && x[i] - px.back() > maxGap;
        if ((ends || gap) && !px.empty()) {
            fillStretch(px, py, at, out);
            px.clear();
            py.clear();
        }
        if (known) {
            px.push_back(x[i]);
            py.push_back(y[i]);
        }
    }
    return out;
}

OrbitField::OrbitField(const std::vector<double>& frequencyHz, const DirectivityMap& map)
    : frequencyHz_(frequencyHz) {
    take(map.angleDeg, map.levelDb);
    if (measured_.empty()) return;
    makeRelative();
    closeCircle();
}

OrbitField OrbitField::ofGiven(const std::vector<double>& frequencyHz, const std::vector<double>& angleDeg,
                               const std::vector<std::vector<double>>& levelDb) {
    OrbitField field;
    field.frequencyHz_ = frequencyHz;
    field.reference_ = Reference::asGiven;
    field.take(angleDeg, levelDb);
    if (!field.measured_.empty()) field.closeCircle();
    return field;
}

/// Rows that are whole, in growing order of angle.
template <class Rows>
void OrbitField::take(const std::vector<double>& angleDeg, const Rows& levelDb) {
    const std::size_t n = std::min(angleDeg.size(), levelDb.size());
    for (std::size_t a = 0; a < n; ++a) {
        const bool inOrder = measured_.empty() || angleDeg[a] > measured_.back();
        if (!inOrder || levelDb[a].size() < frequencyHz_.size() || !std::isfinite(angleDeg[a])) continue;
        measured_.push_back(angleDeg[a]);
        levels_.emplace_back(levelDb[a].begin(), levelDb[a].end());
    }
}

void OrbitField::makeRelative() {
    const auto axis =
        std::find_if(measured_.begin(), measured_.end(), [](double a) { return std::abs(a) < angleSlack; });
    const bool onAxis = axis != measured_.end() &&
                        std::any_of(levels_[static_cast<std::size_t>(axis - measured_.begin())].begin(),
                                    levels_[static_cast<std::size_t>(axis - measured_.begin())].end(),
                                    [](double v) { return std::isfinite(v); });
    reference_ = onAxis ? Reference::axis : Reference::largest;
    for (std::size_t f = 0; f < frequencyHz_.size(); ++f) {
        const double zero =
            onAxis ? levels_[static_cast<std::size_t>(axis - measured_.begin())][f] : largestAt(levels_, f);
        for (auto& row : levels_) row[f] -= zero;
    }
}

void OrbitField::closeCircle() {
    const auto addedFront = [&](double angle, const std::vector<double>& row) {
        measured_.insert(measured_.begin(), angle);
        levels_.insert(levels_.begin(), row);
    };
    if (std::abs(measured_.back() - 180) < angleSlack && measured_.front() > -180 + angleSlack) {
        const auto copy = levels_.back();
        addedFront(-180, copy);
    } else if (std::abs(measured_.front() + 180) < angleSlack && measured_.back() < 180 - angleSlack) {
        measured_.push_back(180);
        levels_.push_back(levels_.front());
    }
    angles_ = measured_;
    padded_ = levels_;
    const std::size_t n = measured_.size();
    const bool closed = n > 3 && measured_.back() - measured_.front() > 360 - 2 * angleSlack;
    const std::size_t skip = closed ? 1 : 0;  // 180° itself is there already
    if (n <= 3) return;
    angles_.insert(angles_.begin(), measured_[n - 1 - skip] - 360);
    padded_.insert(padded_.begin(), levels_[n - 1 - skip]);
    angles_.push_back(measured_[skip] + 360);
    padded_.push_back(levels_[skip]);
}

std::vector<double> OrbitField::ring(const std::vector<double>& anglesDeg, std::size_t frequency) const {
    std::vector<double> y;
    for (const auto& row : padded_) y.push_back(row[frequency]);
    return monotoneCubic(angles_, y, anglesDeg, 2.5 * usualStep(measured_));
}

std::vector<std::vector<double>> OrbitField::rows(double stepDeg) const {
    std::vector<double> at;
    for (int i = 0; i <= static_cast<int>(std::lround(360 / stepDeg)); ++i) at.push_back(-180 + i * stepDeg);
    std::vector<std::vector<double>> out(at.size(), std::vector<double>(frequencyHz_.size(), nan));
    for (std::size_t f = 0; f < frequencyHz_.size(); ++f) {
        const auto column = ring(at, f);
        for (std::size_t r = 0; r < at.size(); ++r) out[r][f] = column[r];
    }
    return out;
}

std::size_t OrbitField::nearest(double hz) const {
    std::size_t best = 0;
    for (std::size_t f = 1; f < frequencyHz_.size(); ++f) {
        if (std::abs(std::log(frequencyHz_[f] / hz)) < std::abs(std::log(frequencyHz_[best] / hz))) best = f;
    }
    return best;
}

}  // namespace volvelle
