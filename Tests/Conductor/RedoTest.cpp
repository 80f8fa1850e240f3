#include "Conductor/Laboratory.h"
#include "Conductor/ParentRun.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

namespace volvelle {
namespace {

using namespace testing;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

const std::string laterName = "lab/later.h5";

std::vector<const Capture*> at(const ReadableRun& run, const std::string& position) {
    std::vector<const Capture*> found;
    for (const Capture& capture : run.record().drives[0].captures)
        if (capture.kind == CaptureKind::position && positionName(capture) == position) found.push_back(&capture);
    return found;
}

void expectRedone(const ReadableRun& run, const std::string& position) {
    const auto captures = at(run, position);
    ASSERT_EQ(captures.size(), 2U);
    EXPECT_EQ(captures[0]->state, CaptureState::superseded);
    EXPECT_EQ(captures[0]->attempt, 1);
    EXPECT_EQ(captures[1]->state, CaptureState::kept);
    EXPECT_EQ(captures[1]->attempt, 2);
    EXPECT_THAT(captures[1]->id, ::testing::EndsWith("/attempt-2"));
}

TEST(Redo, OfAnUnsealedRunMeasuresThatPositionAgainAndKeepsTheOldCapture) {
    MemoryFiles files;
    {
        Laboratory lab(smallPlan(), smallScene(), &files);
        const auto captures = CapturesUnderWay::begin(runName, lab.head(), files);
        lab.conductOn(*captures, fourAround());
    }
    Laboratory lab(smallPlan(), smallScene(), &files);
    lab.carryOut(fourAround(), files, {parsePosition("horizontal:90"), parsePosition("horizontal:-90")});
    EXPECT_THAT(lab.log.words({"move"}), ElementsAre("move 0", "move -90", "move 90", "move 0"));
    const SealedRun run(runName, files);
    expectRedone(run, "horizontal:90");
    expectRedone(run, "horizontal:-90");
    EXPECT_EQ(at(run, "horizontal:180").size(), 1U);
}

TEST(Redo, OfASealedRunIsANewRunThatNamesItAndHoldsAllOfIt) {
    MemoryFiles files;
    Laboratory first(smallPlan(), smallScene(), &files);
    first.carryOut(fourAround(), files);
    const SealedRun parent(runName, files);
    Laboratory lab(smallPlan(), smallScene(), &files);
    {
        RunRecord head = lab.head();
        const auto captures = beginFromParent(parent, laterName, head, files, {});
        EXPECT_EQ(captures->record().events.size(), parent.record().events.size() + 1);  // and that it was so
        lab.conductOn(*captures, fourAround(), {parsePosition("horizontal:90")});
        captures->seal();
    }
    const SealedRun run(laterName, files);
    EXPECT_EQ(run.record().provenance.parentRun, parent.fingerprint());
    expectRedone(run, "horizontal:90");
    EXPECT_THAT(lab.log.words({"move"}), ElementsAre("move 0", "move -90", "move 0"));
    const auto before = capturesOf(parent), after = capturesOf(run);
    for (const auto& [id, capture] : before) EXPECT_TRUE(after.contains(id) && after.at(id) == capture) << id;
}

TEST(Redo, OfARedoKeepsWhatWasSaidOfEveryAttempt) {
    MemoryFiles files;
    Scene scene = smallScene();
    SceneFault fault = faultOf(FaultKind::noiseBurst);
    fault.atLabel = "front/horizontal:-90/upright/1";
    fault.amountDb = 80;
    scene.faults = {fault};
    Laboratory first(smallPlan(), scene, &files);
    first.carryOut(fourAround(), files);
    std::string name = runName;
    for (const char* next : {"lab/second.h5", "lab/third.h5"}) {
        const SealedRun parent(name, files);
        Laboratory lab(smallPlan(), smallScene(), &files);
        const auto captures = beginFromParent(parent, next, lab.head(), files, {});
        lab.conductOn(*captures, fourAround(), {parsePosition("horizontal:90")});
        captures->seal();
        name = next;
    }
    const SealedRun third(name, files);
    const auto again = at(third, "horizontal:90");
    ASSERT_EQ(again.size(), 3U);
    EXPECT_EQ(again[0]->reason, "superseded by attempt 3");
    EXPECT_EQ(again[1]->reason, "superseded by attempt 3");
    EXPECT_EQ(again[2]->state, CaptureState::kept);
    const SealedRun whole(runName, files);
    const auto once = at(whole, "horizontal:-90"), later = at(third, "horizontal:-90");
    ASSERT_EQ(once.size(), 2U);
    ASSERT_EQ(later.size(), 2U);
    EXPECT_EQ(later[0]->reason, once[0]->reason);
    EXPECT_EQ(later[0]->state, CaptureState::superseded);
    EXPECT_EQ(later[1]->state, CaptureState::kept);
}

TEST(Redo, OfASealedRunThatWasStoppedWhileItsCapturesWereTakenOverCanBeGoneOnWith) {
    MemoryFiles files;
    Laboratory first(smallPlan(), smallScene(), &files);
    first.carryOut(fourAround(), files);
    const SealedRun parent(runName, files);
    const auto all = capturesOf(parent);
    for (std::size_t left = 0; left <= all.size(); ++left) {
        Laboratory lab(smallPlan(), smallScene(), &files);
        {
            RunRecord head = parent.record();
            head.provenance.parentRun = parent.fingerprint();
            head.events.clear();
            head.drives[0].captures.clear();
            const auto captures = CapturesUnderWay::begin(laterName, head, files);
            std::vector<float> samples(2 * head.drives[0].samplesPerChannel);
            for (std::size_t c = 0; c < left; ++c) {
                parent.readCapture(0, c, samples);
                captures->keep(0, parent.record().drives[0].captures[c], samples);
            }
        }
        {
            const auto captures = CapturesUnderWay::resume(laterName, files);
            takeOverParent(parent, *captures, {});
            ASSERT_EQ(capturesOf(*captures).size(), all.size());
            lab.conductOn(*captures, fourAround(), {parsePosition("horizontal:90")});
            takeOverParent(parent, *captures, {});  // measured meanwhile: nothing is taken over twice
            captures->seal();
        }
        expectRedone(SealedRun(laterName, files), "horizontal:90");
        files.remove(laterName);
    }
}

TEST(Redo, OfARunWithOtherShotsIsRefused) {
    MemoryFiles files;
    Laboratory first(smallPlan(), smallScene(), &files);
    first.carryOut(onAxis(), files);
    const SealedRun parent(runName, files);
    RunRecord head = first.head();
    head.drives[0].samplesPerChannel += 1;
    try {
        beginFromParent(parent, laterName, head, files, {});
        FAIL() << "nothing was thrown";
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::input);
    }
    EXPECT_FALSE(files.exists(laterName + ".part"));
}

TEST(Redo, DoubtfulAgainHasAllItsAttempts) {
    MemoryFiles files;
    {
        Laboratory lab(smallPlan(), smallScene(), &files);
        const auto captures = CapturesUnderWay::begin(runName, lab.head(), files);
        lab.conductOn(*captures, fourAround());
    }
    Scene scene = smallScene();
    for (const int attempt : {2, 3, 4}) {
        SceneFault fault = faultOf(FaultKind::noiseBurst);
        fault.atLabel = "front/horizontal:90/upright/1/attempt-" + std::to_string(attempt);
        fault.amountDb = 80;
        scene.faults.push_back(fault);
    }
    Laboratory lab(smallPlan(), scene, &files);
    lab.carryOut(fourAround(), files, {parsePosition("horizontal:90")});
    const SealedRun run(runName, files);
    const auto captures = at(run, "horizontal:90");
    ASSERT_EQ(captures.size(), 4U);  // the old one, and three doubtful ones
    EXPECT_EQ(captures[0]->state, CaptureState::kept);  // the last that is not doubtful counts
}

}  // namespace
}  // namespace volvelle
