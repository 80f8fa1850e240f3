#include "Run/SweepPlan.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

Plan planOf(const std::string& sections, const std::string& drives, const std::string& more = "") {
    return parsePlan("{\"unit\": {\"drive_quantity\": \"terminal-volts\", \"sections\": [" + sections +
                         "]}, \"drives\": [" + drives + "], \"calibration\": {\"volts_per_full_scale\": 10}" +
                         more + "}",
                     "p.json");
}

const std::string woofer = R"({"name": "w", "band_hz": [30, 3000], "voltage_limit_v": 8})";
const std::string tweeter =
    R"({"name": "t", "band_hz": [1000, 24000], "voltage_limit_v": 4, "gain_db": 6.0205999132796239})";

ResolvedSweep sweepOf(const Plan& plan) {
    return resolvedSweep(plan, plan.drives.back(), "p.json");
}

std::string refusal(const Plan& plan) {
    try {
        sweepOf(plan);
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::input);
        return error.what();
    }
    return "no error";
}

TEST(ResolvedSweep, OfOneSectionKeepsToItsLimits) {
    const ResolvedSweep w = sweepOf(planOf(woofer, R"({"sections": ["w"]})"));
    EXPECT_EQ(w.startHz, 30);
    EXPECT_EQ(w.endHz, 3000);
    EXPECT_EQ(w.wishedDurationS, 3);
    EXPECT_EQ(w.peakV, 8);
    EXPECT_EQ(w.peakFullScale, 0.8);
    const ResolvedSweep t = sweepOf(planOf(tweeter, R"({"sections": ["t"]})"));
    EXPECT_EQ(t.startHz, 1000);
    EXPECT_EQ(t.endHz, 20000);
    EXPECT_NEAR(t.peakV, 2, 1e-12);  // 4 V behind 6 dB of gain
}

TEST(ResolvedSweep, OfADriveIsTheIntersectionOfItsSections) {
    const ResolvedSweep both = sweepOf(planOf(woofer + "," + tweeter, R"({"sections": ["w", "t"]})"));
    EXPECT_EQ(both.startHz, 1000);
    EXPECT_EQ(both.endHz, 3000);
    EXPECT_NEAR(both.peakV, 2, 1e-12);
}

TEST(ResolvedSweep, KeepsToWhatIsStatedWithinTheLimits) {
    const ResolvedSweep sweep = sweepOf(planOf(
        woofer,
        R"({"sections": ["w"], "sweep": {"start_hz": 50, "end_hz": 2000, "duration_s": 1.5, "peak_v": 5}})"));
    EXPECT_EQ(sweep.startHz, 50);
    EXPECT_EQ(sweep.endHz, 2000);
    EXPECT_EQ(sweep.wishedDurationS, 1.5);
    EXPECT_EQ(sweep.peakV, 5);
    EXPECT_EQ(sweep.peakFullScale, 0.5);
}

TEST(ResolvedSweep, EndsAt20kHzOr45PercentOfTheRate) {
    const std::string wide = R"({"name": "a", "band_hz": [5, 90000], "voltage_limit_v": 1})",
                      drive = R"({"sections": ["a"]})";
    EXPECT_EQ(sweepOf(planOf(wide, drive)).startHz, 20);
    EXPECT_EQ(sweepOf(planOf(wide, drive)).endHz, 20000);
    EXPECT_EQ(sweepOf(planOf(wide, drive, R"(, "audio": {"sample_rate_hz": 32000})")).endHz, 0.45 * 32000);
    EXPECT_EQ(sweepOf(planOf(wide, R"({"sections": ["a"], "sweep": {"start_hz": 10, "end_hz": 40000}})",
                             R"(, "audio": {"sample_rate_hz": 96000})"))
                  .endHz,
              40000);
}

TEST(ResolvedSweep, FullScaleLimitsTheLevelWithEverySectionsGain) {
    const std::string a = R"({"name": "a", "band_hz": [20, 20000], "voltage_limit_v": 500, "gain_db": 20})";
    EXPECT_NEAR(sweepOf(planOf(a, R"({"sections": ["a"]})")).peakFullScale, 0.1, 1e-15);
    const std::string quiet =
        R"({"name": "a", "band_hz": [20, 20000], "voltage_limit_v": 500, "gain_db": -20})";
    EXPECT_NEAR(sweepOf(planOf(quiet, R"({"sections": ["a"]})")).peakFullScale, 1, 1e-15);
}

TEST(ResolvedSweep, ADigitalQuantityNeedsNoVolts) {
    const Plan plan =
        parsePlan(R"({"unit": {"drive_quantity": "digital-full-scale", "sections": [{"name": "a",
        "band_hz": [20, 20000], "voltage_limit_v": 0.25}]}, "drives": [{"sections": ["a"]}]})",
                  "p.json");
    EXPECT_EQ(sweepOf(plan).peakV, 0.25);
    EXPECT_EQ(sweepOf(plan).peakFullScale, 0.25);
}

TEST(ResolvedSweep, NeverLeavesABand) {
    EXPECT_EQ(
        refusal(planOf(tweeter, R"({"sections": ["t"], "sweep": {"start_hz": 20}})")),
        "p.json: /drives/0/sweep/start_hz is 20 Hz, outside the band of section t, 1000 Hz to 24000 Hz. "
        "Keep the sweep within it, or change the section's band_hz if its drivers bear it");
    EXPECT_NE(refusal(planOf(woofer + "," + tweeter,
                             R"({"sections": ["w"]}, {"sections": ["w", "t"], "sweep": {"end_hz": 9000}})"))
                  .find("/drives/1/sweep/end_hz is 9000 Hz, outside the band of section w"),
              std::string::npos);
    EXPECT_EQ(
        refusal(planOf(R"({"name": "a", "band_hz": [20, 100]}, {"name": "b", "band_hz": [200, 900]})",
                       R"({"sections": ["a", "b"], "sweep": {"peak_v": 1}})")),
        "p.json: /drives/0/sections leave no band to sweep: it would begin at 200 Hz and end at 100 Hz. Let "
        "the bands of sections that play together overlap, and the sweep begin below its end");
}

TEST(ResolvedSweep, IsNeverGuessed) {
    EXPECT_NE(refusal(planOf(R"({"name": "a", "voltage_limit_v": 1})", R"({"sections": ["a"]})"))
                  .find("/drives/0/sweep/start_hz is missing, and section a states no band_hz"),
              std::string::npos);
    EXPECT_NE(refusal(planOf(R"({"name": "a", "voltage_limit_v": 1})",
                             R"({"sections": ["a"], "sweep": {"start_hz": 30}})"))
                  .find("/drives/0/sweep/end_hz is missing"),
              std::string::npos);
    EXPECT_NE(refusal(planOf(R"({"name": "a", "band_hz": [20, 20000]})", R"({"sections": ["a"]})"))
                  .find("/drives/0/sweep/peak_v is missing, and section a states no voltage_limit_v"),
              std::string::npos);
    EXPECT_NE(
        refusal(
            parsePlan(R"({"unit": {"sections": [{"name": "a", "band_hz": [20, 20000], "voltage_limit_v": 1}]},
        "drives": [{"sections": ["a"]}]})",
                      "p.json"))
            .find("/calibration/volts_per_full_scale is missing"),
        std::string::npos);
    EXPECT_EQ(sweepOf(planOf(R"({"name": "a"})",
                             R"({"sections": ["a"], "sweep": {"start_hz": 30, "end_hz": 300, "peak_v": 1}})"))
                  .peakFullScale,
              0.1);
}

TEST(ResolvedSweep, NeverPassesALimit) {
    EXPECT_EQ(
        refusal(planOf(tweeter, R"({"sections": ["t"], "sweep": {"peak_v": 3}})")),
        "p.json: /drives/0/sweep/peak_v makes 6 V at section t, beyond its limit of 4 V. State a lower peak, "
        "or change the section's voltage_limit_v if its drivers bear it");
    EXPECT_EQ(refusal(planOf(R"({"name": "a", "band_hz": [20, 20000]})",
                             R"({"sections": ["a"], "sweep": {"peak_v": 11}})")),
              "p.json: /drives/0/sweep/peak_v is 11 V, beyond full scale, 10 V. State a lower peak");
    EXPECT_NE(refusal(planOf(R"({"name": "a", "band_hz": [20, 20000], "gain_db": 20})",
                             R"({"sections": ["a"], "sweep": {"peak_v": 5}})"))
                  .find("with the gain of section a is 50 V, beyond full scale, 10 V"),
              std::string::npos);
    EXPECT_NE(refusal(planOf(R"({"name": "a", "band_hz": [20, 90000]})",
                             R"({"sections": ["a"], "sweep": {"end_hz": 24000, "peak_v": 1}})"))
                  .find("/drives/0/sweep/end_hz is 24000 Hz, not below half the sample rate of 48000 Hz"),
              std::string::npos);
}

}  // namespace
}  // namespace volvelle
