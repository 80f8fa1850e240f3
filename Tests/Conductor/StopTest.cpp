#include "Conductor/Laboratory.h"
#include "Run/RunFile.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace volvelle {
namespace {

using namespace testing;

/// After a stop was asked for: the outputs are silenced, then the table is stopped, and nothing begins any more.
void expectStandstill(const Laboratory& lab, double stoppedAtS) {
    std::vector<std::string> after;
    for (const Entry& entry : lab.log.entries())
        if (entry.atS >= stoppedAtS && entry.what != "wait") after.push_back(entry.what);
    while (!after.empty() && after.front() != "silence") after.erase(after.begin());  // what the stop came into
    ASSERT_GE(after.size(), 2U);
    for (std::size_t i = 0; i < after.size(); ++i) EXPECT_EQ(after[i], i % 2 == 0 ? "silence" : "stop") << i;
}

/// A stop within every wait of a run: of table, device, attendant, settling and warming up.
void stopEverywhere(const Plan& plan, const AngleSet& set) {
    const Scene scene = smallScene();
    const std::string whole = undisturbedEssence(plan, scene, set);
    std::size_t waits = 0, held = 0;
    for (std::size_t at = 1;; ++at) {
        MemoryFiles files;
        Laboratory lab(plan, scene, &files, at);
        const RunAccount account = lab.carryOut(set, files);
        if (account.ending == Ending::complete) break;
        SCOPED_TRACE("stop in wait " + std::to_string(at));
        waits = at;
        ASSERT_EQ(account.ending, Ending::stopped);
        EXPECT_EQ(account.reason, "a stop was asked for");
        expectStandstill(lab, lab.clock.nowS());
        files.loseUnsynced();
        const auto before = capturesOf(*CapturesUnderWay::look(runName, files));
        ASSERT_EQ(before.size(), account.captures);
        held = std::max(held, before.size());
        Laboratory next(plan, scene, &files);
        ASSERT_EQ(next.carryOut(set, files).ending, Ending::complete);
        const SealedRun run(runName, files);
        ASSERT_TRUE(essence(run) == whole);
        const auto after = capturesOf(run);
        for (const auto& [id, capture] : before) ASSERT_TRUE(after.contains(id) && after.at(id) == capture) << id;
        for (const Entry& entry : next.log.entries())
            if (entry.what == "play") {  // quiet first, also here
                EXPECT_NE(entry.detail.find("low-sweep"), std::string::npos);
                break;
            }
    }
    EXPECT_GT(waits, 15U);
    EXPECT_GT(held, 5U);
}

TEST(Stop, OnTheHorizontalOrbitStopsSafelyWhereverItComesAndTheRunCanBeGoneOnWith) {
    Plan plan = smallPlan();
    plan.conduct.warmUpS = 10;
    plan.conduct.axisCheckEvery = 2;
    stopEverywhere(plan, fourAround());
}

TEST(Stop, WithTheUnitTurnedAndTwoDrivesStopsSafelyWhereverItComesAndTheRunCanBeGoneOnWith) {
    stopEverywhere(smallPlan({"front", "front+rear"}), smallSet("horizontal,0\nhorizontal,90\nvertical,90\n"));
}

TEST(Stop, ThatWasAskedForBeforeTheRunLeavesEverythingStill) {
    MemoryFiles files;
    Laboratory lab(smallPlan(), smallScene(), &files);
    lab.stop.request_stop();
    EXPECT_EQ(lab.carryOut(fourAround(), files).ending, Ending::stopped);
    EXPECT_TRUE(lab.log.words({"home", "move", "play", "ask"}).empty());
}

TEST(Stop, WhileTheAttendantIsAskedAfterAFaultIsAStopAndNoFault) {
    MemoryFiles files;
    Laboratory lab(smallPlan(), smallScene(), &files);
    lab.audio.atPlay[3] = AudioOutcome::dropped;
    struct Stopper final : RunWatcher {
        explicit Stopper(std::stop_source& theStop) : stop(theStop) {}
        void happened(const std::string& event) override {
            if (event.find("failed during") != std::string::npos) stop.request_stop();
        }
        std::stop_source& stop;
    } watcher(lab.stop);
    lab.watcher = &watcher;
    const RunAccount account = lab.carryOut(fourAround(), files);
    EXPECT_EQ(account.ending, Ending::stopped);
    EXPECT_TRUE(lab.log.words({"ask"}).empty());
}

TEST(Stop, AUnitThatMayStillLieOnItsSideIsAskedToBeSetUpright) {
    MemoryFiles files;
    const Plan plan = smallPlan();
    const AngleSet set = smallSet("horizontal,0\nhorizontal,90\nvertical,90\n");
    {
        Laboratory lab(plan, smallScene(), &files);
        const auto captures = CapturesUnderWay::begin(runName, lab.head(), files);
        ASSERT_EQ(lab.conductOn(*captures, set).ending, Ending::complete);
    }
    Laboratory lab(plan, smallScene(), &files);
    lab.carryOut(set, files, {parsePosition("horizontal:90")});
    EXPECT_EQ(lab.log.words({"ask"}), std::vector<std::string>{"ask upright"});
}

TEST(Stop, AnAttendantWhoDoesNotTurnTheUnitEndsTheSitting) {
    struct Nobody final : Attendant {
        bool ask(Errand, const std::string&, std::stop_token) override { return false; }
    } nobody;
    MemoryFiles files;
    Laboratory lab(smallPlan(), smallScene(), &files);
    const AngleSet set = smallSet("horizontal,0\nvertical,90\n");
    RunWatcher watcher;
    Equipment equipment{lab.table, lab.audio, nobody, lab.clock, [] { return Air::notStated(); }};
    const auto captures = CapturesUnderWay::begin(runName, lab.head(), files);
    const RunAccount account = conduct(lab.plan, set, equipment, *captures, {}, watcher, {});
    EXPECT_EQ(account.ending, Ending::stopped);
    EXPECT_EQ(account.reason, "the unit was not turned");
    EXPECT_EQ(account.positionsDone, 1U);
}

TEST(Stop, AShotOnTheAxisStopsLikeARun) {
    std::size_t stopped = 0;
    for (std::size_t at = 1;; ++at) {
        Laboratory lab(smallPlan({"front", "rear"}), smallScene(), nullptr, at);
        const AxisShots shots = shootOnAxis(lab.plan, lab.equipment(), lab.stop.get_token());
        if (shots.ending == Ending::complete) {
            EXPECT_EQ(shots.shots.size(), 2U);
            break;
        }
        ++stopped;
        ASSERT_EQ(shots.ending, Ending::stopped);
        expectStandstill(lab, lab.clock.nowS());
    }
    EXPECT_GT(stopped, 5U);
}

}  // namespace
}  // namespace volvelle
