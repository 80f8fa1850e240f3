#include "Response/ResolvedRecipe.h"
#include "Response/ToyRun.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <string>

namespace volvelle {
namespace {

struct Times {
    double highDecayS = 0.02, lowDecayS = 0.15;
    double excitationS = 3, recordedS = 4;
};

Capture judged(double angleDeg, double arrivalS, const Times& times) {
    Capture c = toy::captureAt(Orbit::horizontal, angleDeg);
    c.quality.arrivalS = arrivalS;
    for (const double hz : judgedOctavesHz())
        c.quality.decayS.push_back(hz > 900 ? times.highDecayS : times.lowDecayS);
    return c;
}

/// A run of two drives, arrivals from 5.0 to 5.5 ms.
RunRecord judgedRun(const Times& times, CaptureForm form = CaptureForm::recording) {
    std::vector<DriveRecord> drives;
    for (const char* name : {"front", "rear"}) {
        std::vector<Capture> captures;
        for (int i = 0; i <= 10; ++i) captures.push_back(judged(10 * i, 0.005 + 5e-5 * i, times));
        DriveRecord d =
            toy::impulseDrive(name, captures, static_cast<std::size_t>(times.recordedS * toy::rate));
        d.form = form;
        if (form == CaptureForm::recording)
            d.excitation.samples.assign(static_cast<std::size_t>(times.excitationS * toy::rate), 0.0F);
        drives.push_back(d);
    }
    return toy::runOf(drives);
}

/// The time until which a window passes everything.
double flatUntil(const Window& w) {
    return w.endS - w.fadeOutS;
}

TEST(ResolvedWindow, IsFlatFromTheEarliestArrivalUntilTheSlowestDecayOfTheLatestHasMetTheNoise) {
    for (const double decay : {0.02, 0.05, 0.1}) {
        const auto r = resolveRecipe(judgedRun({decay, 0.3}), {});
        EXPECT_NEAR(r.arrivalS, 0.005, 1e-12);
        EXPECT_LE(r.window.startS + r.window.fadeInS, 0.005);
        EXPECT_GE(flatUntil(r.window), 0.0055 + decay);
        EXPECT_LE(flatUntil(r.window), 0.0055 + 1.3 * decay);  // and not much longer: that is noise
        ASSERT_TRUE(r.lowWindow);
        EXPECT_GE(flatUntil(*r.lowWindow), 0.0055 + 0.3);
        EXPECT_EQ(r.resolutionHz(), 1 / r.lowWindow->lengthS());
    }
}

TEST(ResolvedWindow, IsDecidedByOctavesFrom2kHzOnAndTheLowOneByThoseBelow) {
    const auto a = resolveRecipe(judgedRun({0.02, 0.15}), {}), b = resolveRecipe(judgedRun({0.02, 0.3}), {});
    EXPECT_EQ(a.window.endS, b.window.endS);
    EXPECT_LT(a.lowWindow->endS, b.lowWindow->endS);
    for (const std::size_t octave : {5U, 6U}) {
        RunRecord slow = judgedRun({0.02, 0.3});
        for (auto& drive : slow.drives)
            for (auto& c : drive.captures) c.quality.decayS[octave] = 0.06;
        const bool decides = judgedOctavesHz()[octave] > 1500;
        EXPECT_EQ(flatUntil(resolveRecipe(slow, {}).window) >= 0.0055 + 0.06, decides)
            << judgedOctavesHz()[octave];
    }
}

TEST(ResolvedWindow, IsOneForAllDrivesOfARun) {
    const RunRecord run = judgedRun({0.02, 0.15});
    RunRecord slowRear = run;
    for (auto& c : slowRear.drives[1].captures)
        for (double& d : c.quality.decayS) d *= 2;
    // Three in four captures of the run decide: those of the slower drive are half of all.
    EXPECT_GT(resolveRecipe(slowRear, {}).window.endS, resolveRecipe(run, {}).window.endS);
    std::swap(slowRear.drives[0], slowRear.drives[1]);
    EXPECT_EQ(resolveRecipe(slowRear, {}).window.endS, [&] {
        std::swap(slowRear.drives[0], slowRear.drives[1]);
        return resolveRecipe(slowRear, {}).window.endS;
    }());
}

TEST(ResolvedWindow, IsNotMovedByOneWrongArrivalNorByDoubtfulCaptures) {
    RunRecord run = judgedRun({});
    const auto before = resolveRecipe(run, {});
    run.drives[0].captures[3].quality.arrivalS = 1e-4;
    EXPECT_GT(resolveRecipe(run, {}).arrivalS, 0.002);
    run.drives[0].captures[3].state = CaptureState::doubtful;
    EXPECT_EQ(resolveRecipe(run, {}).arrivalS, before.arrivalS);
}

TEST(ResolvedWindow, OneServesWhereTheLowOneWouldBeHardlyLonger) {
    const auto one = resolveRecipe(judgedRun({0.1, 0.12}), {});
    EXPECT_FALSE(one.lowWindow);
    EXPECT_FALSE(one.recipe.crossFadeHz);
    EXPECT_EQ(one.recipe.lowWindowChoice, Recipe::LowWindow::none);
    EXPECT_GE(flatUntil(one.window), 0.0055 + 0.12);
    Recipe none;
    none.lowWindowChoice = Recipe::LowWindow::none;
    EXPECT_FALSE(resolveRecipe(judgedRun({0.02, 0.3}), none).lowWindow);
}

TEST(GivenEdges, AreRespected) {
    Recipe recipe;
    recipe.window = {-0.001, 0.0005, 0.003, 0.02};
    recipe.lowWindowChoice = Recipe::LowWindow::given;
    recipe.lowWindow = {-0.004, 0.002, 0.05, 0.2};
    recipe.crossFadeHz = 432;
    const auto r = resolveRecipe(judgedRun({}), recipe);
    EXPECT_NEAR(r.window.startS, 0.004, 1e-12);
    EXPECT_NEAR(r.window.fadeInS, 0.0005, 1e-12);
    EXPECT_NEAR(r.window.fadeOutS, 0.003, 1e-12);
    EXPECT_NEAR(r.window.endS, 0.025, 1e-12);
    EXPECT_NEAR(r.lowWindow->startS, 0.001, 1e-12);
    EXPECT_NEAR(r.lowWindow->endS, 0.205, 1e-12);
    EXPECT_EQ(r.recipe.crossFadeHz, 432);
    Recipe end;
    end.window.endS = 0.03;
    EXPECT_NEAR(resolveRecipe(judgedRun({}), end).window.endS, 0.035, 1e-12);
}

TEST(GivenEdges, BeyondTheRecordingOrBeforeTheImpulseAreRefused) {
    Recipe late;
    late.window = {-0.001, 0.0005, 0.003, 2.5};  // half of a circular impulse belongs to negative times
    EXPECT_THROW(resolveRecipe(judgedRun({}), late), Error);
    late.window.endS = 1.5;
    EXPECT_NO_THROW(resolveRecipe(judgedRun({}), late));
    Times shortImpulse;
    shortImpulse.recordedS = 0.1;
    EXPECT_THROW(resolveRecipe(judgedRun(shortImpulse, CaptureForm::impulseResponse), late), Error);
    Recipe early;
    early.window.startS = -0.006;
    EXPECT_THROW(resolveRecipe(judgedRun(shortImpulse, CaptureForm::impulseResponse), early), Error);
    EXPECT_NO_THROW(resolveRecipe(judgedRun({}), early));
    Recipe inverted;
    inverted.window = {0.004, 0, 0, 0.002};
    EXPECT_THROW(resolveRecipe(judgedRun({}), inverted), Error);
}

TEST(ResolvedWindow, OfImpulseResponsesIsClippedToTimeZeroAndTheirEnd) {
    Times times{0.05, 0.5, 0, 0.1};
    const auto r = resolveRecipe(judgedRun(times, CaptureForm::impulseResponse), {});
    EXPECT_GE(r.window.startS, -1e-12);
    EXPECT_LE(r.window.startS + r.window.fadeInS, 0.005);
    EXPECT_LE(r.window.endS, 0.1 + 1e-9);
    if (r.lowWindow) {
        EXPECT_GE(r.lowWindow->startS, -1e-12);
        EXPECT_LE(r.lowWindow->endS, 0.1 + 1e-9);
    }
    EXPECT_FALSE(r.notes.empty());  // it says that the decay was cut
}

TEST(ResolvedWindow, EndsWithTheTailOfTheRecording) {
    Times times{0.3, 0.3, 3, 3.1};
    const auto r = resolveRecipe(judgedRun(times), {});
    EXPECT_LE(r.window.endS, 0.1 + 1e-9);
    EXPECT_FALSE(r.notes.empty());
}

void expectSame(const Window& a, const Window& b) {
    EXPECT_NEAR(a.startS, b.startS, 1e-12);
    EXPECT_NEAR(a.fadeInS, b.fadeInS, 1e-12);
    EXPECT_NEAR(a.fadeOutS, b.fadeOutS, 1e-12);
    EXPECT_NEAR(a.endS, b.endS, 1e-12);
}

void expectRoundTrip(const RunRecord& run, const Recipe& wish) {
    const auto once = resolveRecipe(run, wish);
    const auto twice = resolveRecipe(run, parseRecipe(recipeAsJson(once.recipe), "again"));
    EXPECT_EQ(recipeAsJson(twice.recipe), recipeAsJson(once.recipe));
    expectSame(once.window, twice.window);
    ASSERT_EQ(once.lowWindow.has_value(), twice.lowWindow.has_value());
    if (once.lowWindow) expectSame(*once.lowWindow, *twice.lowWindow);
}

TEST(ResolvedRecipe, GivenBackGivesTheSameWindows) {
    Recipe wishes[3];
    wishes[1].window.endS = 0.033;
    wishes[2].lowWindowChoice = Recipe::LowWindow::none;
    const auto recordings = CaptureForm::recording, impulses = CaptureForm::impulseResponse;
    for (const double later : {0.0, 1.23456789e-5, -0.0043211})
        for (const Recipe& wish : wishes) {
            const auto check = [&](const Times& times, CaptureForm form) {
                RunRecord run = judgedRun(times, form);
                for (auto& drive : run.drives)
                    for (auto& c : drive.captures) c.quality.arrivalS += later;
                expectRoundTrip(run, wish);
            };
            for (const Times& times :
                 {Times{}, Times{0.1, 0.12}, Times{0.0123456, 0.3}, Times{0.3, 0.4, 3, 3.3}})
                check(times, recordings);
            for (const Times& times :
                 {Times{0.02, 0.1, 0, 0.2}, Times{0.3, 0.4, 0, 0.1}, Times{0.02, 0.4, 0, 0.1234567}})
                check(times, impulses);
        }
}

/// Decimals behind the point of the longest number in a text.
std::size_t mostDecimals(const std::string& text) {
    std::size_t most = 0;
    for (std::size_t at = text.find('.'); at != std::string::npos; at = text.find('.', at + 1))
        most = std::max(most, text.find_first_not_of("0123456789", at + 1) - at - 1);
    return most;
}

TEST(ResolvedRecipe, HoldsWholeMicrosecondsWithoutTails) {
    const std::uint32_t seed = 20261125;
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> decay(0.004, 0.4), tail(0.05, 0.5), later(-0.004, 0.01);
    for (int i = 0; i < 300; ++i) {
        const Times times{decay(random), decay(random), 3, 3 + tail(random)};
        const Times shorter{times.highDecayS, times.lowDecayS, 0, tail(random)};
        for (const bool circular : {true, false}) {
            RunRecord run = judgedRun(circular ? times : shorter,
                                      circular ? CaptureForm::recording : CaptureForm::impulseResponse);
            const double shift = later(random);
            for (auto& drive : run.drives)
                for (auto& c : drive.captures) c.quality.arrivalS += shift;
            const std::string json = recipeAsJson(resolveRecipe(run, {}).recipe);
            EXPECT_LE(mostDecimals(json), 3U) << json << " seed " << seed << ", run " << i;
        }
    }
}

std::string refusalOf(const RunRecord& run, const std::string& recipe) {
    try {
        resolveRecipe(run, parseRecipe(recipe, "loud.json"));
    } catch (const Error& error) {
        return error.where();
    }
    return "none";
}

TEST(ResolvedRecipe, FaultsFoundAgainstARunNameTheRecipesFile) {
    EXPECT_EQ(refusalOf(judgedRun({}), R"({"window": {"end_ms": 2500}})"), "loud.json, /window/end_ms");
    EXPECT_EQ(refusalOf(judgedRun({}), R"({"low_window": {"end_ms": 2500}})"),
              "loud.json, /low_window/end_ms");
    const RunRecord impulses = judgedRun({0.02, 0.15, 0, 0.1}, CaptureForm::impulseResponse);
    EXPECT_EQ(refusalOf(impulses, R"({"window": {"start_ms": -6}})"), "loud.json, /window/start_ms");
    EXPECT_EQ(recipeField(Recipe{}, "/grid"), "recipe /grid");
}

TEST(ResolvedRecipe, NeedsAnArrivalUnlessAllIsText) {
    RunRecord run = judgedRun({});
    for (auto& drive : run.drives)
        for (auto& c : drive.captures) c.quality.arrivalS = notStated;
    EXPECT_THROW(resolveRecipe(run, {}), Error);
    for (auto& drive : run.drives) drive.form = CaptureForm::textResponse;
    EXPECT_NO_THROW(resolveRecipe(run, {}));
}

TEST(ResolvedWindow, IsPlacedByDoubtfulCapturesWhereThereAreNoOthers) {
    RunRecord run = judgedRun({});
    const Window kept = resolveRecipe(run, {}).window;
    for (DriveRecord& drive : run.drives)
        for (Capture& capture : drive.captures) capture.state = CaptureState::doubtful;
    EXPECT_EQ(resolveRecipe(run, {}).window.startS, kept.startS);
    EXPECT_EQ(resolveRecipe(run, {}).window.endS, kept.endS);
    run.drives[0].captures[5].state = CaptureState::kept;  // arrives at 5.25 ms
    EXPECT_NEAR(resolveRecipe(run, {}).arrivalS, 0.00525, 1e-12);
}

}  // namespace
}  // namespace volvelle
