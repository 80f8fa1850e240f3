#include "Comparison/Comparison.h"
#include "Families/ToyUnit.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

namespace volvelle {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::Not;
using toy::quickRecipe;
using toy::SealedToy;
using toy::twoSources;

Comparison compared(const SealedToy& a, const SealedToy& b, bool aligned = false,
                    const Recipe& recipe = quickRecipe(), const std::string& drive = "front") {
    const std::array<const ReadableRun*, 2> runs{&*a, &*b};
    return compareRuns(runs, drive, recipe, aligned, 2);
}

toy::Unit louder(double gain) {
    return [gain](const Direction& d, double t) { return gain * twoSources(d, t); };
}

Error refusal(const std::vector<const ReadableRun*>& runs, const std::string& drive) {
    try {
        compareRuns(runs, drive, quickRecipe(), false, 1);
    } catch (const Error& error) {
        return error;
    }
    return {ErrorKind::bug, "was not refused", "", ""};
}

TEST(Comparison, OfARunWithItselfIsExactlyZero) {
    const SealedToy run(toy::orbitRun(), toy::heard(twoSources));
    for (const bool aligned : {false, true}) {
        const Comparison c = compared(run, run, aligned);
        EXPECT_GT(c.curves.size(), 15u);
        ASSERT_EQ(c.positions.size(), 72u);
        for (const auto* group : {&c.curves, &c.positions})
            for (const ComparedLevels& levels : *group) {
                ASSERT_TRUE(levels.differs[1].has_value()) << levels.key;
                EXPECT_EQ(levels.differs[1]->largestDb, 0) << levels.key;
                EXPECT_EQ(levels.differs[1]->rmsDb, 0) << levels.key;
            }
        EXPECT_EQ(c.runs[1].shiftDb, 0);
        EXPECT_THAT(c.remarks, Contains("B is the same run as A"));
    }
}

TEST(Comparison, TakesOutAPlainGainAndSaysHowMuch) {
    const SealedToy a(toy::orbitRun(), toy::heard(twoSources)), b(toy::orbitRun(), toy::heard(louder(2)));
    const Comparison plain = compared(a, b), aligned = compared(a, b, true);
    for (const ComparedLevels& curve : plain.curves) {
        const double step = curve.unit == CurveUnit::directivityDb ? 0 : 20 * std::log10(2);
        EXPECT_NEAR(curve.differs[1]->largestDb, step, 1e-9) << curve.key;
        EXPECT_NEAR(curve.differs[1]->rmsDb, step, 1e-9) << curve.key;
    }
    EXPECT_NEAR(aligned.runs[1].shiftDb, -20 * std::log10(2), 1e-9);
    EXPECT_EQ(aligned.alignedOn, "listening_window");
    for (const auto* group : {&aligned.curves, &aligned.positions})
        for (const ComparedLevels& levels : *group)
            EXPECT_NEAR(levels.differs[1]->largestDb, 0, 1e-9) << levels.key;
}

TEST(Comparison, NamesASwappedPolarity) {
    RunRecord turned = toy::orbitRun();
    for (Capture& c : turned.drives[0].captures) c.quality.polarity = -1;
    const SealedToy a(toy::orbitRun(), toy::heard(twoSources)), b(turned, toy::heard(louder(-1)));
    const Comparison c = compared(a, b);
    EXPECT_EQ(c.runs[0].polarity, 1);
    EXPECT_EQ(c.runs[1].polarity, -1);
    EXPECT_THAT(c.remarks, Contains("polarity is swapped: A positive, B negative"));
    EXPECT_NEAR(c.curves[0].differs[1]->largestDb, 0, 1e-9);  // levels do not show it
    EXPECT_THAT(compared(a, a).remarks, Not(Contains(HasSubstr("swapped"))));
}

/// A tone burst of 4 kHz from one direction, on top of a unit.
double withBurst(const Direction& d, double t) {
    const double after = t - 0.005;
    const bool here = sameDirection(d, directionOn(Orbit::vertical, -30));
    const double burst = std::exp(-std::pow(after / 1e-3, 2)) * std::sin(2 * M_PI * 4000 * after);
    return twoSources(d, t) + (here ? 0.05 * burst : 0);
}

TEST(Comparison, FindsThePlantedDirectionAndFrequency) {
    const SealedToy a(toy::orbitRun(), toy::heard(twoSources)), b(toy::orbitRun(), toy::heard(withBurst));
    const Comparison c = compared(a, b);
    ASSERT_TRUE(c.worst[1].has_value());
    EXPECT_FALSE(c.worst[0].has_value());
    EXPECT_EQ(c.worst[1]->position, "vertical:-30");
    EXPECT_NEAR(c.worst[1]->frequencyHz, 4000, 0.01);
    const auto position = std::find_if(c.positions.begin(), c.positions.end(),
                                       [](const ComparedLevels& p) { return p.key == "vertical:-30"; });
    EXPECT_EQ(position->differs[1]->largestDb, c.worst[1]->differenceDb);
    EXPECT_GT(c.worst[1]->differenceDb, 3);
    for (const ComparedLevels& curve : c.curves)
        if (curve.key == "floor_bounce") {
            EXPECT_NEAR(curve.differs[1]->atHz, 4000, 0.01);
        } else if (curve.key == "on_axis") {
            EXPECT_EQ(curve.differs[1]->largestDb, 0);
        }
}

TEST(Comparison, DiffersOnlyWhereAllAreValid) {
    RunRecord small = toy::orbitRun();
    small.plan.chamberLowestHz = 1000;
    const SealedToy a(toy::orbitRun(), toy::heard(twoSources)), b(small, toy::heard(louder(2)));
    const Comparison c = compared(a, b);
    EXPECT_EQ(c.valid.lowHz, 1000);
    for (std::size_t f = 0; f < c.frequencyHz.size(); ++f) {
        EXPECT_EQ(std::isfinite(c.curves[0].differenceDb[1][f]), c.frequencyHz[f] >= 1000);
        EXPECT_TRUE(std::isfinite(c.curves[0].levelDb[1][f]));
    }
    EXPECT_TRUE(c.curves[0].differenceDb[0].empty());
}

TEST(Comparison, LeavesBlankWhatARunLacksAndSaysWhich) {
    RunRecord sparse = toy::orbitRun();
    std::erase_if(sparse.drives[0].captures, [](const Capture& c) { return c.id == "horizontal:90"; });
    const SealedToy a(toy::orbitRun(), toy::heard(twoSources)), b(sparse, toy::heard(twoSources));
    const Comparison c = compared(a, b);
    ASSERT_EQ(c.positions.size(), 72u);
    for (const ComparedLevels& p : c.positions)
        EXPECT_EQ(!p.differs[1].has_value(), p.key == "horizontal:90");
    for (const ComparedLevels& curve : c.curves) {
        if (curve.key == "sound_power") {
            EXPECT_THAT(curve.missing, HasSubstr("B: not measured or left out: horizontal:90"));
        } else if (curve.key == "on_axis") {
            EXPECT_EQ(curve.missing, "");
        }
    }
}

TEST(Comparison, TellsWhatMakesRunsLessComparable) {
    RunRecord other = toy::orbitRun();
    other.nominalDistanceM = 2.5;
    other.plan.calibrationId = "C-2";
    other.plan.driveQuantity = DriveQuantity::inputVolts;
    other.air = {25, 50, 101.325};
    RunRecord first = toy::orbitRun();
    first.air = {20, 50, 101.325};
    const SealedToy a(first, toy::heard(twoSources)), b(other, toy::heard(twoSources));
    const auto remarks = compared(a, b).remarks;
    for (const char* words : {"distances differ: A 2 m, B 2.5 m", "calibrations differ: A not stated, B C-2",
                              "drive quantities differ: A not stated, B input-volts",
                              "level references differ", "mean temperatures differ: A 20 °C, B 25 °C"})
        EXPECT_THAT(remarks, Contains(HasSubstr(words)));
    EXPECT_TRUE(compared(a, a).remarks.size() == 1);
}

TEST(Comparison, TellsMicrophoneResponsesApartByTheirValuesAndTimeZerosByTheirKind) {
    RunRecord first = toy::orbitRun(), other = first, renamed = first;
    first.calibration.microphone = {{20, 1000, 20000}, {0, 0, 1.5}, {}, "m-1.txt"};
    other.calibration.microphone = {{20, 1000, 20000}, {0, 0, 2.5}, {}, "m-2.txt"};
    other.timeZero = TimeZero::excitationFile;
    renamed.calibration.microphone = first.calibration.microphone;
    renamed.calibration.microphone.sourceFile = "copy of m-1.txt";
    const auto run = [](const RunRecord& record) {
        return std::make_unique<SealedToy>(record, toy::heard(twoSources));
    };
    const auto a = run(first);
    const auto remarks = compared(*a, *run(other)).remarks;
    EXPECT_THAT(remarks, Contains("microphone responses differ: A m-1.txt, B m-2.txt"));
    EXPECT_THAT(remarks, Contains(HasSubstr("kinds of time zero differ: A ")));
    EXPECT_THAT(compared(*a, *run(renamed)).remarks, Not(Contains(HasSubstr("microphone"))));
    other.calibration.microphone.sourceFile = "m-1.txt";
    EXPECT_THAT(compared(*a, *run(other)).remarks,
                Contains("microphone responses differ: A m-1.txt, B other values of that name"));
}

TEST(Comparison, GivesAllRunsTheShortestOfTheirOwnWindows) {
    RunRecord brief = toy::orbitRun();
    for (Capture& c : brief.drives[0].captures) c.quality.decayS.assign(judgedOctavesHz().size(), 0.004);
    RunRecord slow = toy::orbitRun();
    for (Capture& c : slow.drives[0].captures) c.quality.decayS.assign(judgedOctavesHz().size(), 0.0105);
    Recipe open = quickRecipe();
    open.window = {};
    const SealedToy a(slow, toy::heard(twoSources)), b(brief, toy::heard(twoSources));
    const Comparison c = compared(a, b, false, open);
    EXPECT_THAT(c.remarks, Contains(HasSubstr("recipes differ")));
    EXPECT_THAT(c.remarks, Contains(HasSubstr("those of B")));
    EXPECT_EQ(c.runs[0].validity.resolutionHz, c.runs[1].validity.resolutionHz);
    for (const ComparedLevels& curve : c.curves) EXPECT_EQ(curve.differs[1]->largestDb, 0) << curve.key;
}

TEST(Comparison, RefusesARunWithoutTheDriveAndNamesIt) {
    RunRecord rear = toy::runOf({toy::impulseDrive("rear", toy::twoOrbits(10), 1024)});
    const SealedToy a(toy::orbitRun(), toy::heard(twoSources)), b(rear, toy::heard(twoSources));
    const Error named = refusal({&*a, &*b}, "front");
    EXPECT_EQ(named.kind(), ErrorKind::usage);
    EXPECT_THAT(named.what(), HasSubstr("toy.h5, drive 'front'"));
    EXPECT_EQ(refusal({&*a, &*b}, "").kind(), ErrorKind::input);
    EXPECT_THAT(refusal({&*a}, "front").what(), HasSubstr("nothing to compare"));
}

TEST(Comparison, NeedsNoNameForTheOnlyCommonDrive) {
    const SealedToy a(toy::orbitRun(), toy::heard(twoSources)), b(toy::orbitRun(), toy::heard(twoSources));
    EXPECT_EQ(compared(a, b, false, quickRecipe(), "").drive, "front");
}

}  // namespace
}  // namespace volvelle
