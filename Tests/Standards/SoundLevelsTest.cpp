#include "Families/CurveDefinitions.h"
#include "Families/DerivedCurves.h"
#include "Response/Corrections.h"
#include "Response/Pressures.h"
#include "Run/RunRecord.h"

#include <gtest/gtest.h>

#include <cmath>
#include <complex>
#include <span>
#include <string>
#include <vector>

namespace volvelle {
namespace {

/// Correction of a unit spectrum taken at a distance, 1 Pa and 2.83 V per full scale: level at 1 m re level
/// there.
double stepTo1mDb(double distanceM) {
    RunRecord run;
    run.calibration.pascalPerFullScale = 1;
    run.calibration.voltsPerFullScale = 2.83;
    DriveRecord drive;
    drive.name = "front";
    drive.channelRoles = {"microphone"};
    Capture capture;
    capture.distanceM = distanceM;
    const Corrections corrections(run, drive, {}, std::vector<double>{1000}, [](double) { return 1.0; });
    std::vector<std::complex<double>> p{1.0};
    corrections.apply(capture, p);
    return 20 * std::log10(std::abs(p[0]));
}

// Free field: -6.02 dB for each doubling of distance (handbook).
TEST(FreeField, LosesSixDecibelsForEachDoublingOfDistance) {
    EXPECT_NEAR(stepTo1mDb(1), 0, 1e-9);
    EXPECT_NEAR(stepTo1mDb(2), 6.02, 0.005);
    EXPECT_NEAR(stepTo1mDb(4), 12.04, 0.005);
    EXPECT_NEAR(stepTo1mDb(0.5), -6.02, 0.005);
}

Family flatFamily(double windowDb, double earlyDb, double powerDb) {
    Family family;
    family.frequencyHz = {1000};
    for (const auto& [key, level] : {std::pair<std::string, double>{"listening_window", windowDb},
                                     {"early_reflections", earlyDb},
                                     {"sound_power", powerDb}}) {
        Curve curve;
        curve.key = key;
        curve.levelDb = {level};
        family.curves.push_back(curve);
    }
    return family;
}

// ISO 3745:2012: L_W = L_p + 10 lg(S / 1 m²), S = 4πr²: +10.99 dB at 1 m; in air of 20 °C, ρc = 413.2 N·s/m³,
// 0.14 dB less.
TEST(SoundPowerLevel, IsTheLevelAtOneMetreTimesTheSphereOfFourPi) {
    Family family = flatFamily(80, 80, 80);
    addDerivedCurves(family, Air::notStated());
    EXPECT_NEAR(curveNamed(family, "sound_power_level").levelDb[0] - 80, 10.99, 0.005);
    Family warm = flatFamily(80, 80, 80);
    addDerivedCurves(warm, {20, 50, 101.325});
    EXPECT_NEAR(curveNamed(warm, "sound_power_level").levelDb[0] - 80, 10.99 - 0.14, 0.005);
    // From the definition, with the handbook's 1.204 kg/m³ and 343.2 m/s: W = 4π p² / ρc, p = 20 µPa at 0 dB.
    const double watts = 4 * M_PI * 4e-10 / (1.204 * 343.2);
    EXPECT_NEAR(curveNamed(warm, "sound_power_level").levelDb[0] - 80, 10 * std::log10(watts / 1e-12), 0.005);
}

// ANSI/CTA-2034-A (memory): 12 % + 44 % + 44 % of squared pressures; indices are differences of levels.
TEST(EstimatedInRoom, WeightsSquaredPressuresAsTheStandardSays) {
    Family family = flatFamily(90, 80, 70);
    addDerivedCurves(family, Air::notStated());
    EXPECT_NEAR(curveNamed(family, "estimated_in_room").levelDb[0], 10 * std::log10(0.12e9 + 0.44e8 + 0.44e7),
                1e-9);
    EXPECT_NEAR(curveNamed(family, "early_reflections_di").levelDb[0], 10, 1e-12);
    EXPECT_NEAR(curveNamed(family, "sound_power_di").levelDb[0], 20, 1e-12);
    Family equal = flatFamily(77, 77, 77);
    addDerivedCurves(equal, Air::notStated());
    EXPECT_NEAR(curveNamed(equal, "estimated_in_room").levelDb[0], 77, 1e-9);
}

/// Level of the sum of two pressures of 1 Pa, from their complex mean, re one of them.
double sumDb(double phaseA, double phaseB) {
    std::vector<std::complex<double>> mean(1), other(1);
    meanPressure(std::vector<std::size_t>{0, 1}, mean, other,
                 [&](std::size_t capture, std::span<std::complex<double>> one) {
                     one[0] = std::polar(1.0, capture == 0 ? phaseA : phaseB);
                 });
    return 20 * std::log10(2 * std::abs(mean[0]));
}

// Two equal sources (handbook): in phase +6.02 dB, uncorrelated +3.01 dB, in opposite phase they cancel.
TEST(TwoEqualSources, AddUpAsTheHandbookSays) {
    EXPECT_NEAR(sumDb(1.1, 1.1), 6.02, 0.005);
    EXPECT_LT(sumDb(0.4, 0.4 + M_PI), -300);
    double power = 0;
    constexpr int phases = 3600;
    for (int i = 0; i < phases; ++i)
        power += std::pow(10, sumDb(0.2, 2 * M_PI * i / phases + 1e-3) / 10) / phases;
    EXPECT_NEAR(10 * std::log10(power), 3.01, 0.005);
}

// Means over directions are of squared pressures: two directions of 94 and 74 dB in equal parts have 91.03
// dB, not 84.
TEST(MeanOverDirections, IsOfSquaredPressures) {
    for (const CurveDefinition& d : curveDefinitions(Recipe::PowerWeights::areas)) {
        if (d.key != "vertical_total") continue;  // floor and ceiling in equal parts
        double power = 0;
        for (const WeightedAngle& a : d.angles)
            power += a.weight * std::pow(10, (a.angleDeg < 0 ? 94 : 74) / 10.0);
        EXPECT_NEAR(10 * std::log10(power), 91.03, 0.005);
    }
}

// ANSI/CTA-2034-A section 5 (memory), p. 12 for the rear wall: how many directions each curve has.
TEST(CurvesOfCta2034, HaveTheNumberOfDirectionsOfTheStandard) {
    const std::pair<const char*, std::size_t> counts[] = {{"on_axis", 1},           {"listening_window", 9},
                                                          {"floor_bounce", 3},      {"ceiling_bounce", 3},
                                                          {"front_wall_bounce", 7}, {"side_wall_bounce", 10},
                                                          {"rear_wall_bounce", 3},  {"early_reflections", 26},
                                                          {"sound_power", 70},      {"horizontal_rear", 19}};
    for (const CurveDefinition& d : curveDefinitions(Recipe::PowerWeights::areas))
        for (const auto& [key, count] : counts)
            if (d.key == key) {
                EXPECT_EQ(d.angles.size(), count) << key;
            }
}

// A dipole's listening window in closed form: mean of cos² over 0°, ±10° (four), ±20°, ±30°.
TEST(ListeningWindow, OfADipoleHasItsClosedForm) {
    const auto squared = [](double deg) { return std::pow(std::cos(deg * M_PI / 180), 2); };
    const double expected = (1 + 4 * squared(10) + 2 * squared(20) + 2 * squared(30)) / 9;
    for (const CurveDefinition& d : curveDefinitions(Recipe::PowerWeights::areas)) {
        if (d.key != "listening_window") continue;
        double mean = 0;
        for (const WeightedAngle& a : d.angles) mean += a.weight * squared(a.angleDeg);
        EXPECT_NEAR(mean, expected, 1e-12);
        EXPECT_NEAR(10 * std::log10(mean), -0.433, 5e-4);
    }
}

}  // namespace
}  // namespace volvelle
