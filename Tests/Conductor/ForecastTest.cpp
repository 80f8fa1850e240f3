#include "Conductor/DriveShots.h"
#include "Conductor/Forecast.h"

#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

Plan plan(const std::string& set, const std::string& more = "") {
    return parsePlan(R"({"distance_m": 2, "unit": {"sections": [
        {"name": "a", "output_channels": [1], "band_hz": [40, 20000], "voltage_limit_v": 5},
        {"name": "b", "output_channels": [2], "band_hz": [40, 20000], "voltage_limit_v": 5}]},
        "drives": [{"sections": ["a"]}, {"sections": ["b"]}],
        "audio": {"sample_rate_hz": 48000, "silence_before_s": 0.2, "decay_s": 0.3},
        "calibration": {"pascal_per_full_scale": 20, "volts_per_full_scale": 10}, "angles": {"set": ")" +
                         set + "\"}" + more + "}",
                     "p.json");
}

Forecast forecast(const Plan& p, const ForecastGrounds& grounds = {}) {
    return forecastOf(p, angleSet(p.angles.set, p.table.hasTilt), grounds);
}

double shotS(const Plan& p) {
    return DriveShots(p, p.drives[0], {"x", 48000, 8, 8, 24}).durationS();
}

// By hand: home at 0, the axis check, one position, the axis check again; two drives each, and their first
// sweeps.
TEST(Forecast, OfOnePositionOnTheAxis) {
    const Plan p = plan("on-axis", R"(, "table": {"settle_s": 0.7}, "conduct": {"warm_up_s": 60})");
    const Forecast f = forecast(p);
    EXPECT_EQ(f.positions, 1U);
    EXPECT_EQ(f.captures, 2U);
    EXPECT_EQ(f.axisChecks, 4U);
    EXPECT_EQ(f.firstSweeps, 2U);
    EXPECT_EQ(f.movingS, 0);
    EXPECT_NEAR(f.settlingS, 3 * 0.7, 1e-12);
    EXPECT_EQ(f.warmUpS, 60);
    EXPECT_NEAR(f.soundS, 8 * shotS(p), 1e-9);
    // A synchronised sweep is up to ln(f2 / f1) / (2 f1) off its wish; the way of the sound adds some ms.
    EXPECT_NEAR(shotS(p), 0.2 + 3 + 0.3, std::log(20000 / 40.0) / 80 + 0.03);
}

// By hand: 0 to -90, round to 180 and back to 0, at 10 degrees per second.
TEST(Forecast, CountsTheWayOfTheTable) {
    const Forecast f = forecast(plan("horizontal-90"));
    EXPECT_EQ(f.positions, 4U);
    EXPECT_NEAR(f.movingS, (90 + 270 + 180) / 10.0, 1e-9);
    EXPECT_EQ(f.turnsOver, 0);
    const Forecast slow = forecast(plan("horizontal-90"), {10, 20, 300});
    EXPECT_NEAR(slow.movingS, f.movingS + 5 * 0.5, 1e-9);  // five ways, each half a second longer
}

TEST(Forecast, OfTwoOrbitsTurnsTheUnitOverOnce) {
    const Plan p = plan("two-orbits-10", R"(, "conduct": {"repeats": 2, "axis_check_every": 10})");
    const Forecast f = forecast(p, {10, 0, 123});
    EXPECT_EQ(f.positions, 72U);
    EXPECT_EQ(f.directions, 70U);
    EXPECT_EQ(f.onSide, 36U);
    EXPECT_EQ(f.captures, 72U * 2 * 2);
    EXPECT_EQ(f.axisChecks, 2U * (2 + 3) * 2);  // at the ends of each leg, and after 10, 20 and 30 positions
    EXPECT_EQ(f.turnsOver, 1);
    EXPECT_EQ(f.firstSweeps, 2U * 2);  // of each drive, and again once the unit was turned
    EXPECT_EQ(f.turningOverS, 123);
    EXPECT_NEAR(f.soundS, static_cast<double>(f.captures + f.axisChecks + f.firstSweeps) * shotS(p), 1e-6);
    EXPECT_NEAR(f.totalS(), f.soundS + f.movingS + f.settlingS + 123, 1e-9);
}

TEST(Forecast, TheFileGrowsWithCapturesAndChannels) {
    const Forecast one = forecast(plan("two-orbits-10"));
    const double samples =
        static_cast<double>(one.captures + one.axisChecks + one.firstSweeps) * shotS(plan("on-axis")) * 48000;
    EXPECT_NEAR(static_cast<double>(one.bytes) / (4 * samples), 1, 0.02);
    Plan looped = plan("two-orbits-10");
    looped.audio.loopbackInput = 2;
    EXPECT_NEAR(static_cast<double>(forecast(looped).bytes) / static_cast<double>(one.bytes), 2, 0.02);
}

}  // namespace
}  // namespace volvelle
