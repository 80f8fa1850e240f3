#include "Families/CurveTable.h"
#include "Families/MakeFamily.h"
#include "Families/PositionResponses.h"
#include "Families/ToyUnit.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace volvelle {
namespace {

using toy::familyOf;
using toy::quickRecipe;
using toy::twoSources;

void dropped(RunRecord& run, Orbit orbit, double angleDeg) {
    std::erase_if(run.drives[0].captures,
                  [&](const Capture& c) { return c.orbit == orbit && c.angleDeg == angleDeg; });
}

TEST(MissingPosition, EmptiesExactlyTheCurvesThatNeedIt) {
    const Family whole = familyOf(toy::orbitRun(), twoSources, quickRecipe());
    const table::Angle angles[] = {{Orbit::horizontal, 40},
                                   {Orbit::vertical, -30},
                                   {Orbit::horizontal, 10},
                                   {Orbit::vertical, 130},
                                   {Orbit::horizontal, -100}};
    for (const auto& [orbit, angle] : angles) {
        RunRecord run = toy::orbitRun();
        dropped(run, orbit, angle);
        std::set<std::string> empty;
        for (const auto& [key, weights] : table::curves(true))
            if (weights.count({orbit, angle})) empty.insert(key);
        const auto any = [&](std::initializer_list<const char*> keys) {
            return std::any_of(keys.begin(), keys.end(), [&](const char* k) { return empty.count(k) > 0; });
        };
        std::set<std::string> derived;
        if (any({"listening_window", "early_reflections"})) derived.insert("early_reflections_di");
        if (any({"listening_window", "sound_power"})) derived.insert("sound_power_di");
        if (any({"listening_window", "early_reflections", "sound_power"}))
            derived.insert("estimated_in_room");
        if (any({"sound_power"})) derived.insert("sound_power_level");
        empty.insert(derived.begin(), derived.end());
        const Family family = familyOf(run, twoSources, quickRecipe());
        ASSERT_EQ(family.curves.size(), whole.curves.size());
        for (std::size_t c = 0; c < family.curves.size(); ++c) {
            const Curve& curve = family.curves[c];
            EXPECT_EQ(curve.missing.empty(), empty.count(curve.key) == 0) << curve.key;
            if (!curve.missing.empty()) {
                EXPECT_NE(curve.missing.find(positionName(directionOn(orbit, angle), orbit)),
                          std::string::npos);
            }
            for (std::size_t i = 0; i < curve.levelDb.size(); ++i)
                if (curve.missing.empty()) {
                    EXPECT_NEAR(curve.levelDb[i], whole.curves[c].levelDb[i], 1e-9) << curve.key;
                } else {
                    EXPECT_TRUE(std::isnan(curve.levelDb[i])) << curve.key;
                }
        }
    }
}

TEST(MissingPosition, OnTheAxisIsServedByTheVerticalOrbit) {
    RunRecord run = toy::orbitRun();
    dropped(run, Orbit::horizontal, 0);
    const Family family = familyOf(run, twoSources, quickRecipe());
    for (const Curve& curve : family.curves) EXPECT_TRUE(curve.missing.empty()) << curve.key;
    dropped(run, Orbit::vertical, 0);
    const Family none = familyOf(run, twoSources, quickRecipe());
    EXPECT_FALSE(curveNamed(none, "on_axis").missing.empty());
    EXPECT_FALSE(none.onAxisMissing.empty());
    EXPECT_EQ(none.polarity, 0);
}

TEST(MissingPosition, LeavesTheBeamwidthBehindItOpen) {
    const auto cardioid = [](const Direction& d, double t) {
        const double pattern = 0.5 + 0.5 * unitVector(d)[0];
        return pattern * twoSources({}, t);
    };
    // Between 80° and 90°, linear in dB: 179.70°.
    const double at80 = 20 * std::log10(0.5 + 0.5 * std::cos(80 * M_PI / 180)), at90 = 20 * std::log10(0.5);
    const double width = 2 * (80 + 10 * (at80 + 6) / (at80 - at90));
    const Family whole = familyOf(toy::orbitRun(), cardioid, quickRecipe());
    EXPECT_NEAR(whole.horizontal.beamwidthDeg[6], width, 1e-3);
    for (const double angle : {-90.0, 50.0}) {
        RunRecord run = toy::orbitRun();
        dropped(run, Orbit::horizontal, angle);
        const Family family = familyOf(run, cardioid, quickRecipe());
        EXPECT_TRUE(std::isnan(family.horizontal.beamwidthDeg[6])) << angle;
        EXPECT_NEAR(family.vertical.beamwidthDeg[6], width, 1e-3);
    }
    RunRecord behind = toy::orbitRun();
    dropped(behind, Orbit::horizontal, 120);
    EXPECT_NEAR(familyOf(behind, cardioid, quickRecipe()).horizontal.beamwidthDeg[6], width, 1e-3);
}

TEST(PositionResponses, OfADriveWithoutServingCapturesAreRefused) {
    RunRecord record = toy::orbitRun();
    for (Capture& capture : record.drives[0].captures) capture.state = CaptureState::doubtful;
    const toy::SealedToy run(record, toy::heard(twoSources));
    Recipe recipe = quickRecipe();
    EXPECT_EQ(positionResponses(*run, "front", recipe, {"horizontal:0"}, 1).responses.size(), 1);
    recipe.excludeDoubtful = true;
    EXPECT_THROW(positionResponses(*run, "front", recipe, {"horizontal:0"}, 1), Error);
}

TEST(StancesOfOnePole, AreComparedAndTheHorizontalOneIsUsed) {
    const auto asMounted = [](const DriveRecord&, const Capture& c, std::span<float> out) {
        for (std::size_t n = 0; n < out.size(); ++n)
            out[n] = static_cast<float>((c.orbit == Orbit::vertical ? 1.122 : 1.0) *
                                        twoSources(c.direction, static_cast<double>(n) / toy::rate));
    };
    const toy::SealedToy run(toy::orbitRun(), asMounted);
    const Family family = makeFamily(*run, "front", quickRecipe(), 1);
    EXPECT_NEAR(curveNamed(family, "on_axis").levelDb[6],
                toy::levelDb(toy::plainPower(twoSources, {}, family.frequencyHz[6])), 1e-5);
    const auto says = [&](const char* text) {
        return std::any_of(family.notes.begin(), family.notes.end(),
                           [&](const std::string& n) { return n.find(text) != std::string::npos; });
    };
    EXPECT_TRUE(
        says("0° on the vertical orbit departs from the horizontal one, which is used, by up to 1.00 dB"));
}

// L_W = L_p + 10 lg(S / 1 m²), S = 4π m²: ISO 3745:2012; at 20 °C ρc lies 0.14 dB above 400 N·s/m³.
TEST(SoundPowerLevel, Lies1099DbAboveTheMeanLevelLess014DbAt20Degrees) {
    RunRecord run = toy::orbitRun();
    const auto stepOf = [&] {
        const Family f = familyOf(run, twoSources, quickRecipe());
        return curveNamed(f, "sound_power_level").levelDb[4] - curveNamed(f, "sound_power").levelDb[4];
    };
    EXPECT_NEAR(stepOf(), 10.99, 0.005);
    run.air = {20, 50, 101.325};
    EXPECT_NEAR(stepOf(), 10.99 - 0.14, 0.005);
}

TEST(Polarity, OfTheFirstArrivalOnTheAxisIsToldBothWaysOrNotKnown) {
    const double told[] = {1, -1, notStated};
    const int expected[] = {1, -1, 0};
    for (int i = 0; i < 3; ++i) {
        RunRecord run = toy::orbitRun();
        for (Capture& c : run.drives[0].captures)
            if (sameDirection(c.direction, {})) c.quality.polarity = told[i];
        EXPECT_EQ(familyOf(run, twoSources, quickRecipe()).polarity, expected[i]);
    }
}

TEST(PhaseAndGroupDelay, OfAPureDelayAreThoseOfTheDelay) {
    constexpr std::size_t at = 190;
    const auto click = [](const Direction&, double t) {
        return std::lround(t * toy::rate) == static_cast<long>(at) ? 1.0 : 0.0;
    };
    const Family family = familyOf(toy::orbitRun(), click, quickRecipe());
    const double delay = at / toy::rate;
    for (std::size_t i = 0; i < family.frequencyHz.size(); ++i) {
        const double turns = family.onAxisPhaseDeg[i] / 360 + family.frequencyHz[i] * delay;
        EXPECT_NEAR(turns, std::round(turns), 1e-6);
        EXPECT_LE(std::abs(family.onAxisPhaseDeg[i]), 180);
        EXPECT_NEAR(family.onAxisGroupDelayS[i], delay, 1e-8);
    }
}

TEST(Smoothing, OfAFamilyIsTheMeanOfSquaredPressuresOverTheBand) {
    Recipe smooth = quickRecipe();
    smooth.smoothing = 3;
    const Family family = familyOf(toy::orbitRun(), twoSources, smooth);
    for (const std::size_t i : {6U, 12U, 18U}) {
        double mean = 0;
        constexpr int steps = 200;
        for (int s = 0; s < steps; ++s)
            mean += toy::plainPower(twoSources, {},
                                    family.frequencyHz[i] * std::exp2((s + 0.5 - steps / 2.0) / steps / 3)) /
                    steps;
        EXPECT_NEAR(curveNamed(family, "on_axis").levelDb[i], toy::levelDb(mean), 0.01);
    }
}

// Two repeats in opposite phase but for a tenth: their complex mean is a twentieth, smoothed or not.
TEST(Smoothing, ComesAfterTheComplexMeanOfRepeats) {
    RunRecord run = toy::runOf({toy::impulseDrive("front", {toy::captureAt(Orbit::horizontal, 0)}, 1024)});
    auto& captures = run.drives[0].captures;
    captures.push_back(captures[0]);
    captures[1].repeat = 2;
    captures[1].id += "/2";
    const toy::SealedToy sealed(run, [](const DriveRecord&, const Capture& c, std::span<float> out) {
        for (std::size_t n = 0; n < out.size(); ++n)
            out[n] = static_cast<float>((c.repeat == 1 ? 1 : -0.9) *
                                        twoSources({}, static_cast<double>(n) / toy::rate));
    });
    Recipe first = quickRecipe();
    first.smoothing = 3;
    Recipe mean = first;
    mean.repeats = Recipe::Repeats::complexMean;
    const Family one = makeFamily(*sealed, "front", first, 1), both = makeFamily(*sealed, "front", mean, 1);
    for (std::size_t i = 0; i < one.frequencyHz.size(); ++i)
        EXPECT_NEAR(curveNamed(both, "on_axis").levelDb[i] - curveNamed(one, "on_axis").levelDb[i],
                    20 * std::log10(0.05), 1e-4);
}

TEST(AxisOfADrive, IsTheRecipesElseThePlansElseAhead) {
    RunRecord run = toy::orbitRun();
    Recipe recipe;
    EXPECT_EQ(axisOf(run, run.drives[0], recipe), 0);
    run.plan.drives.push_back({"front", {"front"}, 180, ""});
    EXPECT_EQ(axisOf(run, run.drives[0], recipe), 180);
    recipe.axisDeg = 0;
    EXPECT_EQ(axisOf(run, run.drives[0], recipe), 0);
}

TEST(PositionResponses, AreLevelsAndPhasesAsMeasured) {
    const toy::SealedToy run(toy::orbitRun(), toy::heard(twoSources));
    const auto some = positionResponses(*run, "front", quickRecipe(), {"vertical:-30", "horizontal:350"}, 2);
    ASSERT_EQ(some.responses.size(), 2u);
    EXPECT_EQ(some.responses[0].position, "vertical:-30");
    EXPECT_EQ(some.responses[1].position, "horizontal:-10");
    for (std::size_t i = 0; i < some.frequencyHz.size(); i += 4)
        EXPECT_NEAR(some.responses[0].levelDb[i],
                    toy::levelDb(toy::plainPower(twoSources, {0, -30}, some.frequencyHz[i])), 1e-5);
    EXPECT_EQ(positionResponses(*run, "front", quickRecipe(), {}, 1).responses.size(), 72u);
    EXPECT_THROW(positionResponses(*run, "front", quickRecipe(), {"horizontal:33"}, 1), Error);
    EXPECT_THROW(positionResponses(*run, "rear", quickRecipe(), {}, 1), Error);
    EXPECT_THROW(makeFamily(*run, "rear", quickRecipe(), 1), Error);
}

TEST(PositionResponses, SayWhereTheyHoldAndWhichDoubtfulCapturesServe) {
    RunRecord record = toy::orbitRun();
    record.unitSizeM = 0.4;
    record.plan.chamberLowestHz = 80;
    for (const std::size_t c : {0U, 1U}) {
        record.drives[0].captures[c].state = CaptureState::doubtful;
        record.drives[0].captures[c].reason = "clipped";
    }
    const std::string first = positionName(record.drives[0].captures[0]);
    const toy::SealedToy run(record, toy::heard(twoSources));
    const auto found = positionResponses(*run, "front", quickRecipe(), {first, "horizontal:0"}, 1);
    EXPECT_EQ(found.drive, "front");
    EXPECT_EQ(found.doubts, std::vector<std::string>{first + ": clipped"});
    const Validity family = makeFamily(*run, "front", quickRecipe(), 1).validity;
    EXPECT_EQ(found.validity.resolutionHz, family.resolutionHz);
    EXPECT_EQ(found.validity.excited.highHz, family.excited.highHz);
    EXPECT_EQ(found.validity.valid().lowHz, family.valid().lowHz);
    EXPECT_EQ(found.validity.farFieldHz, family.farFieldHz);
    EXPECT_EQ(found.validity.chamberLowestHz, 80);
}

TEST(AxisOfADrive, IsThePlansWhetherItHasItsNameOrItsSections) {
    RunRecord run = toy::orbitRun();
    run.plan.drives.emplace_back().name = "whole";
    run.plan.drives.back().sections = {"woofer", "tweeter"};
    run.plan.drives.back().axisDeg = 180;
    for (const char* name : {"whole", "woofer+tweeter", "tweeter+woofer"}) {
        run.drives[0].name = name;
        EXPECT_EQ(axisOf(run, run.drives[0], Recipe{}), 180) << name;
    }
    run.drives[0].name = "woofer";
    EXPECT_EQ(axisOf(run, run.drives[0], Recipe{}), 0);
}

// ---- text responses ----

RunRecord textRun() {
    DriveRecord d = toy::impulseDrive("front", toy::twoOrbits(10), 4);
    d.form = CaptureForm::textResponse;
    d.sampleRateHz = notStated;
    d.channelRoles.clear();
    d.frequencyHz = {63, 700, 1234, 15000};
    RunRecord run = toy::runOf({d});
    run.calibration.voltsPerFullScale = 2.83;
    return run;
}

TEST(TextFamily, StandsOnItsOwnGridAndIsTheMeanOfItsLevels) {
    const auto levelOf = [](const Direction& d, std::size_t i) {
        return 70 + 3.0 * static_cast<double>(i) - angleBetweenDeg(d, {}) / 12;
    };
    const toy::SealedToy run(textRun(), [&](const DriveRecord&, const Capture& c, std::span<float> out) {
        for (std::size_t i = 0; i < 4; ++i) {
            out[i] = static_cast<float>(levelOf(c.direction, i));
            out[4 + i] = 10.0F * static_cast<float>(i);
        }
    });
    const Family family = makeFamily(*run, "front", {}, 2);
    EXPECT_EQ(family.frequencyHz, (std::vector<double>{63, 700, 1234, 15000}));
    const double to1m = 20 * std::log10(toy::distance);  // taken at 2.83 V
    for (const auto& [key, weights] : table::curves(true))
        for (std::size_t i = 0; i < 4; ++i) {
            double power = 0;
            for (const auto& [angle, weight] : weights)
                power += weight * std::pow(10, levelOf(directionOn(angle.first, angle.second), i) / 10);
            EXPECT_NEAR(curveNamed(family, key).levelDb[i], 10 * std::log10(power) + to1m, 1e-5) << key;
        }
    EXPECT_FALSE(family.distortion.missing.empty());
    ASSERT_EQ(family.onAxisPhaseDeg.size(), 4u);
    EXPECT_NEAR(family.onAxisPhaseDeg[2], 20, 1e-4);
}

}  // namespace
}  // namespace volvelle
