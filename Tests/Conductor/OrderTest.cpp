#include "Conductor/Forecast.h"
#include "Conductor/Laboratory.h"
#include "Run/RunFile.h"
#include "Run/TableGeometry.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace volvelle {
namespace {

using namespace testing;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

bool isLow(const Entry& entry) {
    return entry.detail.find("low-sweep") != std::string::npos;
}

std::vector<Entry> plays(const Laboratory& lab) {
    std::vector<Entry> out;
    for (const Entry& entry : lab.log.entries())
        if (entry.what == "play") out.push_back(entry);
    return out;
}

TEST(Order, ARunGoesHomeThenQuietSweepsThenCheckThenPositionsThenCheck) {
    MemoryFiles files;
    Laboratory lab(smallPlan(), smallScene(), &files);
    EXPECT_EQ(lab.carryOut(fourAround(), files).ending, Ending::complete);
    EXPECT_THAT(lab.log.words({"home", "move", "play", "ask"}),
                ElementsAre("home", "move 0", "play front/low-sweep/upright/1", "play front/axis-check/upright/1",
                            "move -90", "play front/horizontal:90/upright/1", "move 0",
                            "play front/horizontal:0/upright/1", "move 90",
                            "play front/horizontal:-90/upright/1", "move 180",
                            "play front/horizontal:180/upright/1", "move 0", "play front/axis-check/upright/2"));
}

TEST(Order, TheFirstSweepsOfASittingAndAfterTheUnitWasTurnedAreTwentyDecibelDownAndNothingElseIs) {
    MemoryFiles files;
    const Plan plan = smallPlan({"front", "rear", "front+rear"});
    Laboratory lab(plan, smallScene(), &files);
    lab.carryOut(twoOrbits(), files);
    std::size_t low = 0, asked = 0;
    bool louder = false;
    for (const Entry& entry : lab.log.entries()) {
        if (entry.what == "ask") {  // somebody is at the equipment
            ++asked;
            louder = false;
        }
        if (entry.what != "play") continue;
        EXPECT_NEAR(entry.value, isLow(entry) ? 0.02 : 0.2, 1e-3) << entry.detail;
        EXPECT_FALSE(isLow(entry) && louder) << entry.detail;
        louder = louder || !isLow(entry);
        low += isLow(entry) ? 1 : 0;
    }
    EXPECT_EQ(asked, 1U);
    EXPECT_EQ(low, 6U);
}

/// The first sound after somebody was asked to touch the unit.
std::string firstPlayAfter(const Laboratory& lab, const std::string& errand) {
    const auto words = lab.log.words({"ask", "play"});
    const auto asked = std::find(words.begin(), words.end(), "ask " + errand);
    return asked == words.end() || asked + 1 == words.end() ? "nothing" : *(asked + 1);
}

TEST(Order, TheFirstSoundAfterSomebodyTurnedTheUnitIsTwentyDecibelDown) {
    MemoryFiles files;
    const AngleSet set = smallSet("horizontal,0\nhorizontal,90\nvertical,90\n");
    {
        Laboratory lab(smallPlan(), smallScene(), &files);
        const auto captures = CapturesUnderWay::begin(runName, lab.head(), files);
        lab.conductOn(*captures, set);
        EXPECT_EQ(firstPlayAfter(lab, "lay"), "play front/low-sweep/on-side/1");
    }
    Laboratory lab(smallPlan(), smallScene(), &files);
    lab.carryOut(set, files, {parsePosition("horizontal:90"), parsePosition("vertical:90")});
    EXPECT_EQ(firstPlayAfter(lab, "upright"), "play front/low-sweep/upright/2");
    EXPECT_EQ(firstPlayAfter(lab, "lay"), "play front/low-sweep/on-side/2");
}

TEST(Order, EveryMoveIsFollowedByTheSettlingTimeBeforeAnythingPlays) {
    for (const double settleS : {notStated, 0.0, 1.5}) {
        MemoryFiles files;
        Plan plan = smallPlan();
        plan.table.settleS = settleS;
        Laboratory lab(plan, smallScene(), &files);
        lab.carryOut(twoOrbits(), files);
        const auto entries = lab.log.entries();
        std::size_t moves = 0;
        for (std::size_t i = 0; i + 1 < entries.size(); ++i) {
            if (entries[i].what != "move") continue;
            ++moves;
            ASSERT_EQ(entries[i + 1].what, "wait");
            EXPECT_NEAR(entries[i + 1].value, std::isfinite(settleS) ? settleS : usualSettleS, 1e-9);
        }
        EXPECT_EQ(moves, 4U + 2 + 4);
    }
}

TEST(Order, EveryDriveAndRepeatIsTakenAtEveryPosition) {
    MemoryFiles files;
    Plan plan = smallPlan({"front", "rear"});
    plan.conduct.repeats = 3;
    Laboratory lab(plan, smallScene(), &files);
    const RunAccount account = lab.carryOut(twoOrbits(), files);
    std::set<std::string> played;
    for (const Entry& play : plays(lab)) EXPECT_TRUE(played.insert(play.detail).second) << play.detail;
    for (const SetPosition& position : twoOrbits().positions)
        for (const char* drive : {"front/", "rear/"})
            for (const char* repeat : {"/1", "/2", "/3"})
                EXPECT_TRUE(played.contains(drive + positionName(position.direction, position.orbit) + "/" +
                                            stanceName(position.stance) + repeat));
    EXPECT_EQ(account.captures, played.size());
    EXPECT_EQ(account.positionsDone, 6U);
    const SealedRun run(runName, files);
    for (const DriveRecord& drive : run.record().drives)
        for (const Capture& capture : drive.captures)
            if (capture.kind == CaptureKind::position) {
                EXPECT_EQ(std::isfinite(capture.quality.repeatDifferenceDb), capture.repeat > 1) << capture.id;
                EXPECT_FALSE(capture.quality.repeatDifferenceDb > 0.5) << capture.id;
            }
}

TEST(Order, NoMoveBeginsBeforeAllThatWasHeardIsOnTheDisk) {
    MemoryFiles files;
    Plan plan = smallPlan({"front", "rear"});
    plan.conduct.axisCheckEvery = 1;
    Laboratory lab(plan, smallScene(), &files);
    lab.carryOut(twoOrbits(), files);
    std::size_t heard = 0, moves = 0;
    for (const Entry& entry : lab.log.entries()) {
        if (entry.what == "play") ++heard;
        if (entry.what != "move" && entry.what != "ask") continue;
        EXPECT_EQ(entry.kept, heard) << entry.what << " at " << entry.atS;
        ++moves;
    }
    EXPECT_GT(moves, 12U);
}

TEST(Order, ChecksOnTheAxisBeginAndEndALegAndComeBetweenAsThePlanAsks) {
    MemoryFiles files;
    Plan plan = smallPlan();
    plan.conduct.axisCheckEvery = 2;
    Laboratory lab(plan, smallScene(), &files);
    lab.carryOut(twoOrbits(), files);
    std::vector<std::string> words;
    for (const Entry& play : plays(lab))
        if (!isLow(play))
            words.push_back(play.detail.find("axis-check") == std::string::npos ? "position" : "check");
    EXPECT_THAT(words, ElementsAre("check", "position", "position", "check", "position", "position", "check",
                                   "check", "position", "position", "check"));
}

TEST(Order, TheUnitIsTurnedOnceWhileEverythingStandsStillAndTheTableIsSentHomeAfterwards) {
    MemoryFiles files;
    Laboratory lab(smallPlan(), smallScene(), &files);
    const RunAccount account = lab.carryOut(twoOrbits(), files);
    EXPECT_THAT(lab.log.words({"ask"}), ElementsAre("ask lay"));
    const auto entries = lab.log.entries();
    const auto asked = std::find_if(entries.begin(), entries.end(), [](const Entry& e) { return e.what == "ask"; });
    ASSERT_GE(asked - entries.begin(), 2);
    EXPECT_EQ((asked - 2)->what, "silence");
    EXPECT_EQ((asked - 1)->what, "stop");
    EXPECT_EQ((asked + 1)->what, "wait");  // for the attendant
    EXPECT_EQ((asked + 2)->what, "home");
    EXPECT_THAT(lab.attendant.requests[0], HasSubstr("left side"));
    EXPECT_THAT(lab.attendant.requests[0], HasSubstr("licensed practice"));
    EXPECT_DOUBLE_EQ(account.waitedS, 60);
}

TEST(Order, ATableWithATiltAxisNeedsNobodyToTurnTheUnit) {
    MemoryFiles files;
    Plan plan = smallPlan();
    plan.table.hasTilt = true;
    Laboratory lab(plan, smallScene(), &files);
    const AngleSet set = angleSetFromCsv("azimuth_deg,elevation_deg\n0,0\n30,40\n0,-60\n", "tilt.csv", true);
    EXPECT_EQ(lab.carryOut(set, files).ending, Ending::complete);
    EXPECT_TRUE(lab.log.words({"ask"}).empty());
    const SealedRun run(runName, files);
    for (const Capture& capture : run.record().drives[0].captures)
        EXPECT_DOUBLE_EQ(capture.tiltReadBackDeg, capture.direction.elevationDeg);
}

TEST(Order, NothingMovesOrSoundsWhereNothingIsLeftToDo) {
    MemoryFiles files;
    {
        Laboratory lab(smallPlan(), smallScene(), &files);
        const auto captures = CapturesUnderWay::begin(runName, lab.head(), files);
        lab.conductOn(*captures, twoOrbits());  // and ends before it is sealed
    }
    Laboratory lab(smallPlan(), smallScene(), &files);
    const RunAccount account = lab.carryOut(twoOrbits(), files);
    EXPECT_EQ(account.ending, Ending::complete);
    EXPECT_EQ(account.positionsDone, 6U);
    EXPECT_TRUE(lab.log.words({"home", "move", "play", "ask"}).empty());
    std::map<std::string, int> times;
    const SealedRun run(runName, files);
    for (const Event& event : run.record().events) ++times[event.text];
    for (const auto& [text, count] : times)
        if (text.starts_with("drift") || text.starts_with("loopback")) {
            EXPECT_EQ(count, 1) << text;
        }
}

TEST(Order, ARunTakesOnAClockWithoutComputingTimeWhatItNeedsAndNoMore) {
    MemoryFiles files;
    Plan plan = smallPlan({"front", "rear"});
    plan.conduct.warmUpS = 30;
    Laboratory lab(plan, smallScene(), &files);
    const RunAccount account = lab.carryOut(twoOrbits(), files);
    EXPECT_DOUBLE_EQ(account.waitedS, 90);
    EXPECT_LE(account.overhead(), 1.01);
    EXPECT_GE(account.overhead(), 1 - 1e-9);
    EXPECT_NEAR(account.wallS, lab.clock.nowS(), 1e-9);
}

TEST(Order, WhatAForecastCountsIsWhatIsPlayed) {
    MemoryFiles files;
    Plan plan = smallPlan({"front", "rear"});
    plan.conduct.axisCheckEvery = 2;
    Laboratory lab(plan, smallScene(), &files);
    const Forecast forecast = forecastOf(plan, twoOrbits());
    const std::size_t repeated = lab.carryOut(twoOrbits(), files).repeated;  // what is doubtful by chance
    std::size_t low = 0;
    for (const Entry& play : plays(lab)) low += isLow(play) ? 1 : 0;
    EXPECT_EQ(forecast.firstSweeps, low);
    EXPECT_EQ(forecast.captures + forecast.axisChecks + forecast.firstSweeps, plays(lab).size() - repeated);
}

TEST(Order, AMoveThatFailedIsNotNeededTime) {
    Scene scene = smallScene();
    SceneFault fault = faultOf(FaultKind::tableStalls);
    fault.atMove = 2;
    scene.faults = {fault};
    MemoryFiles files;
    Laboratory lab(smallPlan(), scene, &files);
    const RunAccount account = lab.carryOut(fourAround(), files);
    ASSERT_EQ(lab.attendant.requests.size(), 1U);
    const double half = 45 / scene.table.speedDegPerS;  // of the way to 90 degrees, then its patience
    EXPECT_GE(account.wallS - account.waitedS - account.neededS, half + 1.999);
}

TEST(Order, TimeLeftIsWhatTheRunThenTakes) {
    struct Watch final : RunWatcher {
        explicit Watch(Clock& theClock) : clock(theClock) {}
        void progressed(const RunProgress& progress) override { seen.push_back({clock.nowS(), progress.leftS}); }
        Clock& clock;
        std::vector<std::pair<double, double>> seen;
    };
    MemoryFiles files;
    Plan plan = smallPlan();
    plan.conduct.axisCheckEvery = 10;
    Scene scene = smallScene();
    scene.table.speedDegPerS = 60;
    Laboratory lab(plan, scene, &files);
    Watch watch(lab.clock);
    lab.watcher = &watch;
    lab.carryOut(angleSet("horizontal-5", false), files);
    const double endS = lab.clock.nowS();
    const auto [atS, leftS] = watch.seen[watch.seen.size() / 3];
    EXPECT_NEAR(leftS, endS - atS, 0.15 * (endS - atS));
    EXPECT_LT(watch.seen.back().second, 1);
}

}  // namespace
}  // namespace volvelle
