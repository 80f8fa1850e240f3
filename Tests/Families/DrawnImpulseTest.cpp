#include "Families/AxisDetails.h"
#include "Families/ToyUnit.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace volvelle {
namespace {

double endS(const WindowedImpulse& impulse) {
    return impulse.firstSampleS + static_cast<double>(impulse.samples.size()) / impulse.sampleRateHz;
}

RunRecord axisRun(std::size_t samples) {
    return toy::runOf({toy::impulseDrive("front", {toy::captureAt(Orbit::horizontal, 0)}, samples)});
}

TEST(DrawnImpulse, CarriesTheArrivalThatItsCaptureWasJudgedToHave) {
    RunRecord run = axisRun(1024);
    run.drives[0].captures[0].quality.arrivalS = 0.003217;
    EXPECT_EQ(toy::familyOf(run, toy::twoSources, toy::quickRecipe()).impulse.arrivalS, 0.003217);
    RunRecord both = run;
    both.drives[0].captures.push_back(toy::captureAt(Orbit::horizontal, 10));
    both.drives[0].captures[0].quality.arrivalS = notStated;
    EXPECT_TRUE(std::isnan(toy::familyOf(both, toy::twoSources, toy::quickRecipe()).impulse.arrivalS));
}

TEST(DrawnImpulse, EndsWithTheRecordingNotInTheSilenceBehindIt) {
    for (const std::size_t samples : {660U, 700U, 760U, 2048U}) {
        const WindowedImpulse drawn =
            toy::familyOf(axisRun(samples), toy::twoSources, toy::quickRecipe()).impulse;
        EXPECT_LE(endS(drawn), (static_cast<double>(samples) + 0.5) / toy::rate) << samples;
        EXPECT_GE(endS(drawn), drawn.window.endS - 1 / toy::rate) << samples;
    }
}

TEST(DrawnImpulse, ReachesHalfAWindowBeyondWhereThereIsMore) {
    ResolvedRecipe recipe;
    recipe.window = {0.01, 0.001, 0.004, 0.05};
    const std::vector<float> circular(9600, 1.0F);
    EXPECT_NEAR(endS(drawnImpulse(circular, 48000, 1, recipe)), 0.07, 2.0 / 48000);
    EXPECT_NEAR(endS(drawnImpulse(circular, 48000, 0.055, recipe)), 0.055, 2.0 / 48000);
    EXPECT_NEAR(endS(drawnImpulse(circular, 48000, 0.02, recipe)), 0.05,
                2.0 / 48000);  // the window is shown whole
}

TEST(Validity, OfImpulseResponsesIsBoundedByTheSampleRate) {
    EXPECT_EQ(toy::familyOf(axisRun(1024), toy::twoSources, toy::quickRecipe()).validity.excitedBy,
              "sample rate");
}

TEST(Validity, OfTextResponsesIsBoundedByTheirOwnGrid) {
    DriveRecord drive = toy::impulseDrive("front", {toy::captureAt(Orbit::horizontal, 0)}, 4);
    drive.form = CaptureForm::textResponse;
    drive.sampleRateHz = notStated;
    drive.channelRoles.clear();
    drive.frequencyHz = {100, 1000, 10000, 16000};
    RunRecord record = toy::runOf({drive});
    record.calibration.voltsPerFullScale = 2.83;
    const toy::SealedToy run(record, [](const DriveRecord&, const Capture&, std::span<float> out) {
        std::fill(out.begin(), out.end(), 80.0F);
    });
    const Validity validity = makeFamily(*run, "front", {}, 1).validity;
    EXPECT_EQ(validity.excitedBy, "the files' own grid");
    EXPECT_EQ(validity.valid().lowHz, 100);
}

}  // namespace
}  // namespace volvelle
