#pragma once

#include "Sections/HeldSections.h"
#include "Sections/SectionSetting.h"

#include <complex>
#include <cstddef>
#include <span>
#include <vector>

namespace volvelle {

/// Sums the held parts of a drive, again and again with other settings: what follows a knob. Thread-safe with
/// sums for each thread; the held pressures must outlive it.
class Superposition {
public:
    explicit Superposition(const HeldSections& held);

    /// What a trial gives, and its memory.
    struct Sums {
        std::vector<std::complex<double>> pressure;  ///< [position · computed frequencies + frequency]; zero
                                                     ///< where a part is missing
        std::vector<std::vector<double>> levelDb;    ///< [curve][wanted frequency] of the coherent sum
        std::vector<std::vector<double>> powerSumDb;  ///< [curve][wanted frequency]: Σ of squared pressures
    private:
        friend class Superposition;
        std::vector<std::complex<double>> factor;  ///< [part · frequencies + frequency]
        std::vector<double> squared;
        std::vector<std::vector<double>> curvePower;
    };

    /// The sum of the parts, each with its setting (one for each part), and the curves about the combined
    /// drive's axis: dB re 20 µPa, smoothed as the recipe says after the sum; not a number where positions
    /// are missing.
    void add(std::span<const SectionSetting> settings, Sums& sums) const;

    const std::vector<HeldCurve>& curves() const { return curves_; }
    /// All parts are there.
    bool isComplete(std::size_t position) const { return complete_[position] != 0; }
    const std::vector<char>& complete() const { return complete_; }

private:
    void addPosition(std::size_t position, Sums& sums) const;
    std::vector<double> level(const std::vector<double>& power, const HeldCurve& curve) const;

    const HeldSections& held_;
    std::size_t points_;
    std::vector<char> complete_;
    std::vector<HeldCurve> curves_;
    std::vector<std::vector<std::pair<std::size_t, double>>> curvesAt_;  ///< [position]: curve and weight
    std::vector<std::vector<std::vector<double>>> partPower_;            ///< [part][curve][frequency]
};

/// Level in dB re 20 µPa of squared pressures on the computing grid, smoothed onto the wanted one; not a
/// number where there is nothing.
std::vector<double> levelOf(std::span<const double> power, const HeldSections& held);
/// Of one position's row of pressures.
std::vector<double> levelOf(std::span<const std::complex<double>> pressure, std::size_t position,
                            const HeldSections& held);

}  // namespace volvelle
