#pragma once

#include "Families/Family.h"

#include <optional>
#include <vector>

namespace volvelle {

/// The levels round one orbit over angle and frequency, normalised, ready to be drawn. Between measured
/// angles levels are interpolated by monotone cubics (F. N. Fritsch & R. E. Carlson, SIAM J. Numer. Anal. 17,
/// 1980), which neither overshoot nor invent lobes; gaps wider than 2.5 usual steps stay gaps.
class OrbitField {
public:
    enum class Reference { axis, largest, asGiven };

    /// Levels relative to the level at 0° where that is known, else relative to the largest of the orbit.
    OrbitField(const std::vector<double>& frequencyHz, const DirectivityMap& map);
    /// Levels as they are given, relative to whatever they are.
    static OrbitField ofGiven(const std::vector<double>& frequencyHz, const std::vector<double>& angleDeg,
                              const std::vector<std::vector<double>>& levelDb);

    bool empty() const { return angles_.empty(); }
    Reference reference() const { return reference_; }
    const std::vector<double>& frequencyHz() const { return frequencyHz_; }
    const std::vector<double>& measuredDeg() const {
        return measured_;
    }  ///< -180 ... 180, 180° at both ends where known
    double levelAt(std::size_t angle, std::size_t frequency) const { return levels_[angle][frequency]; }

    /// Rows every `stepDeg` from -180 to 180: [row][frequency], not-a-number in gaps.
    std::vector<std::vector<double>> rows(double stepDeg) const;
    /// The level at any angle for one frequency of the grid.
    std::vector<double> ring(const std::vector<double>& anglesDeg, std::size_t frequency) const;
    /// Index of the frequency of the grid that is nearest in ratio.
    std::size_t nearest(double hz) const;

private:
    OrbitField() = default;
    template <class Rows>
    void take(const std::vector<double>& angleDeg, const Rows& levelDb);
    void makeRelative();
    void closeCircle();

    std::vector<double> frequencyHz_, measured_,
        angles_;  // angles_: with copies beyond both ends where the circle is closed
    std::vector<std::vector<double>> levels_, padded_;
    Reference reference_ = Reference::axis;
};

/// Monotone cubic through (x, y), y not-a-number splits it, as do gaps above maxGap. Values at `at`,
/// not-a-number outside.
std::vector<double> monotoneCubic(const std::vector<double>& x, const std::vector<double>& y,
                                  const std::vector<double>& at, double maxGap);

}  // namespace volvelle
