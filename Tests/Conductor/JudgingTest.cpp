#include "Conductor/CaptureTaker.h"
#include "Conductor/Laboratory.h"
#include "Conductor/Ledger.h"
#include "Run/RunFile.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <functional>
#include <utility>

namespace volvelle {
namespace {

using namespace testing;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

const Capture& captureNamed(const ReadableRun& run, const std::string& id) {
    for (const DriveRecord& drive : run.record().drives)
        for (const Capture& capture : drive.captures)
            if (capture.id == id) return capture;
    throw std::out_of_range(id);
}

/// A door heard in the first `times` shots of this label and its repetitions.
Scene withBang(const std::string& label, int times) {
    Scene scene = smallScene();
    for (int attempt = 1; attempt <= times; ++attempt) {
        SceneFault fault = faultOf(FaultKind::noiseBurst);
        fault.atLabel = label + (attempt > 1 ? "/attempt-" + std::to_string(attempt) : "");
        fault.amountDb = 80;
        scene.faults.push_back(fault);
    }
    return scene;
}

TEST(Judging, ADoubtfulCaptureIsTakenAgainAndTheGoodOneCounts) {
    MemoryFiles files;
    Laboratory lab(smallPlan(), withBang("front/horizontal:90/upright/1", 1), &files);
    const RunAccount account = lab.carryOut(fourAround(), files);
    EXPECT_EQ(account.repeated, 1U);
    EXPECT_TRUE(account.doubtful.empty());
    const SealedRun run(runName, files);
    EXPECT_EQ(captureNamed(run, "front/horizontal:90/upright/1").state, CaptureState::superseded);
    EXPECT_THAT(captureNamed(run, "front/horizontal:90/upright/1").reason, HasSubstr("superseded by attempt 2"));
    EXPECT_EQ(captureNamed(run, "front/horizontal:90/upright/1/attempt-2").state, CaptureState::kept);
    EXPECT_EQ(captureNamed(run, "front/horizontal:90/upright/1/attempt-2").attempt, 2);
}

TEST(Judging, AttemptsAreNoMoreThanThePlanAllowsAndTheLastCounts) {
    for (const int attempts : {1, 2, 3}) {
        MemoryFiles files;
        Plan plan = smallPlan();
        plan.conduct.attempts = attempts;
        Laboratory lab(plan, withBang("front/horizontal:90/upright/1", 5), &files);
        const RunAccount account = lab.carryOut(fourAround(), files);
        EXPECT_EQ(account.repeated, static_cast<std::size_t>(attempts - 1));
        ASSERT_EQ(account.doubtful.size(), 1U);
        EXPECT_THAT(account.doubtful[0], HasSubstr("front at horizontal:90"));
        const SealedRun run(runName, files);
        std::size_t counting = 0;
        for (const Capture& capture : run.record().drives[0].captures)
            if (positionName(capture) == "horizontal:90") {
                const bool last = capture.attempt == attempts;
                EXPECT_EQ(capture.state, last ? CaptureState::doubtful : CaptureState::superseded);
                ++counting;
            }
        EXPECT_EQ(counting, static_cast<std::size_t>(attempts));
    }
}

TEST(Judging, ADoubtfulCheckOnTheAxisIsTakenAgain) {
    MemoryFiles files;
    Laboratory lab(smallPlan(), withBang("front/axis-check/upright/1", 1), &files);
    const RunAccount account = lab.carryOut(fourAround(), files);
    EXPECT_EQ(account.repeated, 1U);
    ASSERT_EQ(account.drift.size(), 1U);
    EXPECT_EQ(account.drift[0].checks, 1U);
    EXPECT_LT(std::abs(account.drift[0].levelDb), 0.05);
}

TEST(Judging, NoiseOverThePlansLimitMakesCapturesDoubtful) {
    for (const double limitDb : {0.0, 40.0}) {
        MemoryFiles files;
        Plan plan = smallPlan();
        plan.conduct.noiseLimitDb = limitDb;
        plan.conduct.attempts = 2;
        Laboratory lab(plan, smallScene(), &files);
        const RunAccount account = lab.carryOut(onAxis(), files);
        ASSERT_EQ(account.doubtful.size(), limitDb < 10 ? 1U : 0U);
        if (limitDb > 10) continue;
        EXPECT_THAT(account.doubtful[0], HasSubstr("over the plan's limit"));
    }
}

double loudestDb(const Plan& plan) {
    MemoryFiles files;
    Laboratory lab(plan, smallScene(), &files);
    lab.carryOut(onAxis(), files);
    const SealedRun run(runName, files);
    return 20 * std::log10(captureNamed(run, "front/horizontal:0/upright/1").quality.peakPa / 20e-6);
}

TEST(Level, PredictedFromTheFirstSweepEndsTheRunBeforeAnythingLouderPlays) {
    Plan plan = smallPlan();
    const double peakDb = loudestDb(plan);
    for (const double marginDb : {-0.5, 0.5}) {
        plan.conduct.levelLimitDb = peakDb + marginDb;
        MemoryFiles files;
        Laboratory lab(plan, smallScene(), &files);
        const RunAccount account = lab.carryOut(onAxis(), files);
        EXPECT_EQ(account.ending, marginDb > 0 ? Ending::complete : Ending::levelLimit);
        if (marginDb > 0) continue;
        EXPECT_THAT(account.reason, HasSubstr("over the plan's limit"));
        EXPECT_THAT(lab.log.words({"play"}), ElementsAre("play front/low-sweep/upright/1"));
        EXPECT_EQ(capturesOf(*CapturesUnderWay::look(runName, files)).size(), 1U);
    }
}

TEST(Level, OverTheLimitDuringTheRunEndsItAtOnceAndTheCaptureIsKept) {
    Plan plan = smallPlan({"front", "rear"});
    plan.conduct.levelLimitDb = loudestDb(plan) + 6;
    Scene scene = smallScene();
    SceneFault fault = faultOf(FaultKind::levelTooHigh);
    fault.atLabel = "front/horizontal:90/upright/1";
    fault.amountDb = 30;
    scene.faults = {fault};
    MemoryFiles files;
    Laboratory lab(plan, scene, &files);
    const RunAccount account = lab.carryOut(fourAround(), files);
    EXPECT_EQ(account.ending, Ending::levelLimit);
    EXPECT_EQ(lab.log.words({"play", "move"}).back(), "play front/horizontal:90/upright/1");
    const auto run = CapturesUnderWay::look(runName, files);
    EXPECT_NO_THROW(captureNamed(*run, "front/horizontal:90/upright/1"));
    EXPECT_EQ(capturesOf(*run).size(), account.captures);
}

TEST(Level, NothingHeardInTheFirstSweepEndsTheRunBeforeAnythingLouderPlays) {
    for (const char* section : {"front", "rear"}) {
        Scene scene = smallScene();
        SceneFault fault = faultOf(FaultKind::sectionDead);
        fault.atShot = 1;
        fault.times = 0;
        fault.section = section;
        scene.faults = {fault};
        MemoryFiles files;
        Laboratory lab(smallPlan({"front", "rear"}), scene, &files);
        const RunAccount account = lab.carryOut(fourAround(), files);
        EXPECT_EQ(account.ending, Ending::deviceFailed);
        EXPECT_THAT(account.reason, HasSubstr("nothing is heard of " + std::string(section)));
        for (const std::string& word : lab.log.words({"play"})) EXPECT_THAT(word, HasSubstr("low-sweep"));
    }
}

/// Louder by so many dB and later by so many samples, from the second check on.
void plantDrift(Laboratory& lab, double levelDb, std::size_t samples) {
    lab.audio.tamper = [=](const AudioShot& shot, AudioTake& take) {
        if (shot.label.find("axis-check") == std::string::npos || shot.label.ends_with("/1")) return;
        auto& heard = take.channels[0];
        std::rotate(heard.begin(), heard.end() - static_cast<std::ptrdiff_t>(samples), heard.end());
        for (float& v : heard) v *= static_cast<float>(std::pow(10, levelDb / 20));
    };
}

TEST(Drift, OfLevelAndDelayIsReportedWithItsSign) {
    Scene scene = smallScene();
    scene.microphoneNoise.levelDb = -40;
    scene.converters.startJitterS = 0;
    for (const double levelDb : {-0.7, 0.25}) {
        for (const std::size_t samples : {0U, 2U}) {
            MemoryFiles files;
            Laboratory lab(smallPlan(), scene, &files);
            plantDrift(lab, levelDb, samples);
            const RunAccount account = lab.carryOut(fourAround(), files);
            ASSERT_EQ(account.drift.size(), 1U);
            EXPECT_NEAR(account.drift[0].levelDb, levelDb, 0.02);
            EXPECT_NEAR(account.drift[0].delayS, static_cast<double>(samples) / 24000, 2e-6);
            EXPECT_NEAR(account.drift[0].largestDb, std::abs(levelDb), 0.02);
            const SealedRun run(runName, files);
            const auto& events = run.record().events;
            EXPECT_TRUE(std::any_of(events.begin(), events.end(), [&](const Event& event) {
                return event.text == driftText(account.drift[0]);
            }));
            EXPECT_NEAR(captureNamed(run, "front/axis-check/upright/2").quality.driftDb, levelDb, 0.02);
        }
    }
}

TEST(Drift, OfAnotherSittingIsHeldAgainstTheFirstCheckOfTheRun) {
    MemoryFiles files;
    const Plan plan = smallPlan();
    {
        Laboratory lab(plan, smallScene(), &files, 14);  // amid the positions
        ASSERT_EQ(lab.carryOut(fourAround(), files).ending, Ending::stopped);
        ASSERT_GT(capturesOf(*CapturesUnderWay::look(runName, files)).size(), 2U);
    }
    Laboratory lab(plan, smallScene(), &files);
    plantDrift(lab, 0.5, 0);
    const RunAccount account = lab.carryOut(fourAround(), files);
    ASSERT_EQ(account.drift.size(), 1U);
    EXPECT_EQ(account.drift[0].checks, 2U);
    EXPECT_NEAR(account.drift[0].levelDb, 0.5, 0.03);
}

TEST(Repeats, DifferenceIsTheOneThatWasPlanted) {
    MemoryFiles files;
    Plan plan = smallPlan({"front", "rear"});
    plan.conduct.repeats = 2;
    Laboratory lab(plan, smallScene(), &files);
    lab.audio.tamper = [](const AudioShot& shot, AudioTake& take) {
        if (shot.label == "front/horizontal:90/upright/2")
            for (float& v : take.channels[0]) v *= static_cast<float>(std::pow(10, -1.5 / 20));
    };
    lab.carryOut(fourAround(), files);
    const SealedRun run(runName, files);
    EXPECT_NEAR(captureNamed(run, "front/horizontal:90/upright/2").quality.repeatDifferenceDb, 1.5, 0.3);
    EXPECT_LT(captureNamed(run, "rear/horizontal:90/upright/2").quality.repeatDifferenceDb, 0.5);
    EXPECT_LT(captureNamed(run, "front/horizontal:0/upright/2").quality.repeatDifferenceDb, 0.5);
}

/// From the second check on, what is heard is changed.
void changeLaterChecks(Laboratory& lab, const std::function<void(std::vector<float>&)>& change) {
    lab.audio.tamper = [change](const AudioShot& shot, AudioTake& take) {
        if (shot.label.find("axis-check") != std::string::npos &&
            shot.label.find("/upright/1") == std::string::npos)
            change(take.channels[0]);
    };
}

std::string allOf(const std::vector<std::string>& sentences) {
    std::string text;
    for (const std::string& sentence : sentences) text += sentence + "\n";
    return text;
}

TEST(Drift, ThatIsGrossMakesTheCheckDoubtfulAndWhatWasMeasuredBeforeItQuestionable) {
    const auto turned = [](std::vector<float>& heard) { for (float& v : heard) v = -v; };
    const auto quiet = [](std::vector<float>& heard) { for (float& v : heard) v *= 0.36F; };
    const auto late = [](std::vector<float>& heard) { std::rotate(heard.begin(), heard.end() - 30, heard.end()); };
    const auto slight = [](std::vector<float>& heard) { for (float& v : heard) v *= 0.97F; };
    const std::vector<std::pair<std::function<void(std::vector<float>&)>, std::string>> cases = {
        {turned, "upside down"}, {quiet, "-8.8"}, {late, "+1250 µs"}, {slight, ""}};
    for (const auto& [change, word] : cases) {
        MemoryFiles files;
        Laboratory lab(smallPlan(), smallScene(), &files);
        changeLaterChecks(lab, change);
        const RunAccount account = lab.carryOut(fourAround(), files);
        const std::string remarks = allOf(account.remarks);
        if (word.empty()) {
            EXPECT_EQ(remarks.find("in question"), std::string::npos) << remarks;
            continue;
        }
        EXPECT_THAT(remarks, HasSubstr("after front/axis-check/upright/1 is in question"));
        const SealedRun run(runName, files);
        const Capture& last = run.record().drives[0].captures.back();
        EXPECT_EQ(last.kind, CaptureKind::axisCheck);
        EXPECT_EQ(last.state, CaptureState::doubtful);
        EXPECT_THAT(last.reason, HasSubstr(departsFromFirst));
        if (word != "+1250 µs") {
            EXPECT_THAT(last.reason, HasSubstr(word));
        }
    }
}

TEST(Loopback, ThatSaysHalfOfWhatWasPlayedIsRemarked) {
    for (const float factor : {1.0F, 0.5F}) {
        MemoryFiles files;
        Laboratory lab(smallPlan(), smallScene(), &files);
        lab.audio.tamper = [factor](const AudioShot&, AudioTake& take) {
            for (float& v : take.channels[1]) v *= factor;
        };
        const std::string remarks = allOf(lab.carryOut(fourAround(), files).remarks);
        EXPECT_EQ(remarks.find("dB of what was played") != std::string::npos, factor < 1) << remarks;
    }
}

TEST(Loopback, ThatIsUnpluggedIsToldFromAUnitThatIsNotHeard) {
    for (const float noise : {0.0F, 1e-6F}) {
        MemoryFiles files;
        Laboratory lab(smallPlan(), smallScene(), &files);
        lab.audio.tamper = [noise](const AudioShot&, AudioTake& take) {
            std::uint32_t random = 1;
            for (float& v : take.channels[1]) {
                random = random * 1664525U + 1013904223U;
                v = noise * (static_cast<float>(random >> 8U) / 8388608.0F - 1);
            }
        };
        const RunAccount account = lab.carryOut(fourAround(), files);
        EXPECT_EQ(account.ending, Ending::deviceFailed);
        EXPECT_THAT(account.reason, HasSubstr("the loopback carries nothing"));
    }
}

TEST(Doubts, ThatAreManyAreSaidOfTheWholeRunWithTheCommonestReason) {
    for (const double limitDb : {-80.0, 80.0}) {
        MemoryFiles files;
        Plan plan = smallPlan();
        plan.conduct.noiseLimitDb = limitDb;
        plan.conduct.attempts = 1;
        Laboratory lab(plan, smallScene(), &files);
        const std::string remarks = allOf(lab.carryOut(fourAround(), files).remarks);
        EXPECT_EQ(remarks.find("4 of 4 captures are doubtful, 4 of them for one kind of reason (noise of") != std::string::npos, limitDb < 0)
            << remarks;
    }
}

TEST(Reversals, OfOneCaptureIsRemarkedInARunAndInItsEventsAlsoWhereAnotherSittingMadeIt) {
    for (const std::size_t stopAtWait : {0U, 14U}) {
        MemoryFiles files;
        Plan plan = smallPlan();
        plan.conduct.repeats = 3;
        RunAccount account;
        for (const std::size_t stopAt : {stopAtWait, std::size_t{0}}) {
            Laboratory lab(plan, smallScene(), &files, stopAt);
            lab.audio.tamper = [](const AudioShot& shot, AudioTake& take) {
                if (shot.label == "front/horizontal:0/upright/2")
                    for (float& v : take.channels[0]) v = -v;
            };
            account = lab.carryOut(fourAround(), files);
            if (account.ending == Ending::complete) break;
        }
        EXPECT_THAT(allOf(account.remarks), HasSubstr("horizontal:0 (repeat 2)"));
        const SealedRun run(runName, files);
        const auto& events = run.record().events;
        EXPECT_TRUE(std::any_of(events.begin(), events.end(), [](const Event& event) {
            return event.text.find("horizontal:0 (repeat 2)") != std::string::npos;
        }));
    }
}

}  // namespace
}  // namespace volvelle
