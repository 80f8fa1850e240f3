#include "Conductor/Laboratory.h"
#include "Conductor/ParentRun.h"
#include "Conductor/RedoEvent.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <memory>

namespace volvelle {
namespace {

using namespace testing;
using ::testing::HasSubstr;

const std::string laterName = "lab/later.h5";
const std::vector<NamedPosition> wanted{parsePosition("horizontal:90"), parsePosition("horizontal:-90")};

std::map<std::string, int> timesMeasured(const ReadableRun& run) {
    std::map<std::string, int> times;
    for (const Capture& capture : run.record().drives[0].captures)
        if (capture.kind == CaptureKind::position) ++times[positionName(capture)];
    return times;
}

const std::map<std::string, int> twiceWhereWanted{
    {"horizontal:0", 1}, {"horizontal:90", 2}, {"horizontal:-90", 2}, {"horizontal:180", 1}};

class StoppedRedo : public ::testing::Test {
protected:
    std::map<std::string, AudioTake> sounds;  ///< the same in every sitting: one seed, one result

    RunAccount sit(CapturesUnderWay& captures, MemoryFiles& files, std::size_t stopAtWait,
                   const std::vector<NamedPosition>& redo) {
        Laboratory lab(smallPlan(), smallScene(), &files, stopAtWait);
        lab.audio.remembered = &sounds;
        return lab.conductOn(captures, fourAround(), redo);
    }

    std::unique_ptr<CapturesUnderWay> measured(MemoryFiles& files) {
        Laboratory lab(smallPlan(), smallScene(), &files);
        auto captures = CapturesUnderWay::begin(runName, lab.head(), files);
        EXPECT_EQ(sit(*captures, files, 0, {}).ending, Ending::complete);
        return captures;
    }
};

TEST_F(StoppedRedo, OfAnUnsealedRunGoesOnWhereItWasWhereverItWasStopped) {
    std::size_t amid = 0;
    for (std::size_t at = 1;; ++at) {
        SCOPED_TRACE("stop in wait " + std::to_string(at));
        MemoryFiles files;
        measured(files);
        if (sit(*CapturesUnderWay::resume(runName, files), files, at, wanted).ending == Ending::complete) break;
        files.loseUnsynced();
        amid += timesMeasured(*CapturesUnderWay::look(runName, files)) == twiceWhereWanted ? 0 : 1;
        const auto captures = CapturesUnderWay::resume(runName, files);
        ASSERT_EQ(sit(*captures, files, 0, wanted).ending, Ending::complete);
        captures->seal();
        const SealedRun run(runName, files);
        ASSERT_EQ(timesMeasured(run), twiceWhereWanted);
        for (const Capture& capture : run.record().drives[0].captures)
            if (capture.attempt == 2) {
                EXPECT_EQ(capture.state, CaptureState::kept) << capture.id;
            }
    }
    EXPECT_GT(amid, 5U);
}

TEST_F(StoppedRedo, OfASealedRunGoesOnWhereItWasWhereverItWasStopped) {
    MemoryFiles files;
    measured(files)->seal();
    const SealedRun parent(runName, files);
    for (std::size_t at = 1;; ++at) {
        SCOPED_TRACE("stop in wait " + std::to_string(at));
        {
            Laboratory lab(smallPlan(), smallScene(), &files);
            const auto captures = beginFromParent(parent, laterName, lab.head(), files, {});
            if (sit(*captures, files, at, wanted).ending == Ending::complete) break;
        }
        files.loseUnsynced();
        const auto captures = CapturesUnderWay::resume(laterName, files);
        takeOverParent(parent, *captures, {});
        ASSERT_EQ(sit(*captures, files, 0, wanted).ending, Ending::complete);
        captures->seal();
        ASSERT_EQ(timesMeasured(SealedRun(laterName, files)), twiceWhereWanted);
        files.remove(laterName);
    }
}

TEST_F(StoppedRedo, OtherPositionsAreAnotherWish) {
    MemoryFiles files;
    const auto captures = measured(files);
    sit(*captures, files, 0, {wanted[0]});
    sit(*captures, files, 0, wanted);
    auto times = twiceWhereWanted;
    ++times["horizontal:90"];
    EXPECT_EQ(timesMeasured(*captures), times);
}

TEST_F(StoppedRedo, OfARunWhoseParentWasRedoneItselfMeasuresAgain) {
    MemoryFiles files;
    {
        const auto captures = measured(files);
        sit(*captures, files, 0, wanted);
        captures->seal();
    }
    const SealedRun parent(runName, files);
    Laboratory lab(smallPlan(), smallScene(), &files);
    const auto captures = beginFromParent(parent, laterName, lab.head(), files, {});
    sit(*captures, files, 0, wanted);
    auto times = twiceWhereWanted;
    ++times["horizontal:90"];
    ++times["horizontal:-90"];
    EXPECT_EQ(timesMeasured(*captures), times);
}

TEST(RedoEvent, IsReadAsItWasWritten) {
    RunRecord run;
    run.drives.resize(2);
    EXPECT_FALSE(begunRedo(run, wanted).has_value());
    run.events.push_back({"", redoEvent(wanted, {13, 7})});
    EXPECT_EQ(begunRedo(run, wanted), (std::vector<std::size_t>{13, 7}));
    run.events.push_back({"", "the first sweeps, 20 dB down, are as expected"});
    EXPECT_EQ(begunRedo(run, wanted), (std::vector<std::size_t>{13, 7}));
    EXPECT_FALSE(begunRedo(run, {wanted[0]}).has_value());
    run.events.push_back({"", takenOverEvent("0f3a")});
    EXPECT_FALSE(begunRedo(run, wanted).has_value());
    for (const char* counts : {"", "13", "13, ", "13, 7, 1", "13, x", "13,7", "-1, 7"}) {
        run.events.push_back({"", redoEvent(wanted, {}) + counts});
        EXPECT_FALSE(begunRedo(run, wanted).has_value()) << counts;
    }
}

TEST_F(StoppedRedo, AStopWhileCapturesAreTakenOverEndsThatAndTheyCanBeGoneOnWith) {
    MemoryFiles files;
    measured(files)->seal();
    const SealedRun parent(runName, files);
    std::stop_source stop;
    stop.request_stop();
    Laboratory lab(smallPlan(), smallScene(), &files);
    try {
        beginFromParent(parent, laterName, lab.head(), files, stop.get_token());
        FAIL() << "nothing was thrown";
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::stopped);
        EXPECT_THAT(error.what(), HasSubstr("--resume"));
    }
    EXPECT_TRUE(capturesOf(*CapturesUnderWay::look(laterName, files)).empty());
    const auto captures = CapturesUnderWay::resume(laterName, files);
    takeOverParent(parent, *captures, {});
    EXPECT_EQ(capturesOf(*captures).size(), capturesOf(parent).size());
}

}  // namespace
}  // namespace volvelle
