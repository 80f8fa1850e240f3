#include "Conductor/Laboratory.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <map>

namespace volvelle {
namespace {

using namespace testing;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

bool isLow(const std::string& label) {
    return label.find("low-sweep") != std::string::npos;
}

/// The law after a fault: silence, table still, the attendant is asked; only then anything moves, and the first
/// thing heard of each drive is 20 dB down.
void expectAskedThenQuiet(const Laboratory& lab, std::size_t drives) {
    const auto entries = lab.log.entries();
    const auto asked = std::find_if(entries.begin(), entries.end(), [](const Entry& e) { return e.what == "ask"; });
    ASSERT_NE(asked, entries.end());
    ASSERT_GE(asked - entries.begin(), 3);
    EXPECT_EQ((asked - 2)->what, "silence");
    EXPECT_EQ((asked - 1)->what, "stop");
    auto entry = asked - 1;
    while (entry->what == "silence" || entry->what == "stop") --entry;
    EXPECT_TRUE(entry->what == "play" || entry->what == "move" || entry->what == "home") << entry->what;
    std::size_t low = 0;
    for (auto e = asked; e != entries.end() && low < drives; ++e) {
        if (e->what != "play") continue;
        ASSERT_TRUE(isLow(e->detail)) << e->detail;
        ++low;
    }
    EXPECT_EQ(low, drives);
}

const std::vector<TableOutcome> tableFaults{TableOutcome::refused, TableOutcome::stalled, TableOutcome::missed,
                                            TableOutcome::lost};
const std::vector<AudioOutcome> audioFaults{AudioOutcome::dropped, AudioOutcome::stalled,
                                            AudioOutcome::rateChanged, AudioOutcome::gone};

class Faults : public ::testing::Test {
protected:
    const Plan plan = smallPlan({"front", "rear"});
    const Scene scene = smallScene();
    const AngleSet set = smallSet("horizontal,0\nhorizontal,90\nvertical,90\n");
    const std::string whole = undisturbedEssence(plan, scene, set);

    std::vector<std::string> lastRequests;
    std::map<std::string, AudioTake> sounds;  ///< the same in every sitting: one seed, one result

    using Break = std::function<void(Laboratory&)>;

    /// The attendant goes on: the run is complete and equal to one without the fault.
    std::vector<std::string> goOn(const Break& breakIt) {
        MemoryFiles files;
        Laboratory lab(plan, scene, &files);
        lab.audio.remembered = &sounds;
        breakIt(lab);
        EXPECT_EQ(lab.carryOut(set, files).ending, Ending::complete);
        EXPECT_TRUE(essenceOfSealed(files) == whole);
        lastRequests = lab.attendant.requests;
        return lab.log.words({"home", "move", "play", "ask"});
    }

    void expectFaultIsSurvived(const Break& breakIt, const std::string& words) {
        MemoryFiles files;
        Laboratory lab(plan, scene, &files);
        lab.audio.remembered = &sounds;
        breakIt(lab);
        EXPECT_EQ(lab.carryOut(set, files).ending, Ending::complete);
        expectAskedThenQuiet(lab, 2);
        ASSERT_FALSE(lab.attendant.requests.empty());
        EXPECT_THAT(lab.attendant.requests[0], HasSubstr(words));
        EXPECT_TRUE(essenceOfSealed(files) == whole);
    }

    void expectFaultEndsTheRunIfTheAttendantWishes(const Break& breakIt) {
        MemoryFiles files;
        Laboratory lab(plan, scene, &files);
        lab.audio.remembered = &sounds;
        breakIt(lab);
        lab.attendant.goesOn = false;
        const RunAccount account = lab.carryOut(set, files);
        EXPECT_EQ(account.ending, Ending::deviceFailed);
        EXPECT_THAT(account.reason, HasSubstr("so the test wants it"));
        const auto last = lab.log.words({"home", "move", "play", "ask"}).back();
        EXPECT_EQ(last, "ask other");
        files.loseUnsynced();
        EXPECT_EQ(capturesOf(*CapturesUnderWay::look(runName, files)).size(), account.captures);
        Laboratory next(plan, scene, &files);
        next.audio.remembered = &sounds;
        EXPECT_EQ(next.carryOut(set, files).ending, Ending::complete);
        EXPECT_TRUE(essenceOfSealed(files) == whole);
    }
};

TEST_F(Faults, AfterEveryFaultOfTheTableTheAttendantIsAskedAndItIsSentHome) {
    for (const TableOutcome outcome : tableFaults)
        for (const std::size_t at : {1U, 2U, 3U, 4U, 5U, 6U, 7U}) {
            SCOPED_TRACE("move " + std::to_string(at));
            const auto breakIt = [&](Laboratory& lab) { lab.table.atMove[at] = outcome; };
            const auto words = goOn(breakIt);
            const auto asked = std::find(words.begin(), words.end(), "ask other");
            ASSERT_NE(asked, words.end());
            EXPECT_EQ(*(asked + 1), "home");
            EXPECT_THAT(lastRequests, ::testing::Contains(HasSubstr("did not reach")));
            expectFaultEndsTheRunIfTheAttendantWishes(breakIt);
        }
}

TEST_F(Faults, ATableThatDoesNotFindItsZeroIsSentThereAgainOnlyWhenTheAttendantSaysSo) {
    for (const TableOutcome outcome : tableFaults)
        for (const std::size_t at : {1U, 2U}) {
            const auto breakIt = [&](Laboratory& lab) { lab.table.atHome[at] = outcome; };
            const auto words = goOn(breakIt);
            const auto asked = std::find(words.begin(), words.end(), "ask other");
            ASSERT_NE(asked, words.end());
            EXPECT_EQ(*(asked + 1), "home");
            expectFaultEndsTheRunIfTheAttendantWishes(breakIt);
        }
}

TEST_F(Faults, AfterEveryFaultOfTheDeviceTheAttendantIsAskedAndTheFirstSweepsComeFirst) {
    MemoryFiles files;
    Laboratory lab(plan, scene, &files);
    lab.carryOut(set, files);
    const std::size_t shots = lab.log.words({"play"}).size();
    ASSERT_GE(shots, 2U + 2 * (2 + 2) + 2 * (1 + 2));  // and what is doubtful by chance
    for (std::size_t at = 1; at <= shots + audioFaults.size(); ++at) {  // every shot, and every outcome at the third
        const bool every = at > shots;
        const AudioOutcome outcome = audioFaults[at % audioFaults.size()];
        const std::size_t shot = every ? 3 : at;
        SCOPED_TRACE("shot " + std::to_string(shot));
        const auto breakIt = [&](Laboratory& l) { l.audio.atPlay[shot] = outcome; };
        if (shot <= 7)  // later the first question is about turning the unit
            expectFaultIsSurvived(breakIt, "audio device failed during");
        else
            goOn(breakIt);
        expectFaultEndsTheRunIfTheAttendantWishes(breakIt);
    }
}

TEST_F(Faults, TheFirstSweepsAfterAFaultPlayOnTheAxisAndTheRunGoesOnWhereItWas) {
    const auto words = goOn([](Laboratory& lab) { lab.audio.atPlay[6] = AudioOutcome::gone; });
    const auto asked = std::find(words.begin(), words.end(), "ask other");
    ASSERT_NE(asked, words.end());
    EXPECT_THAT(std::vector<std::string>(asked - 1, asked + 7),
                ElementsAre("play rear/horizontal:90/upright/1", "ask other", "move 0",
                            "play front/low-sweep/upright/2", "play rear/low-sweep/upright/2", "move -90",
                            "play rear/horizontal:90/upright/1", "move 0"));
}

TEST_F(Faults, WithinTheFirstSweepsAfterAFaultBringThemAgain) {
    const auto words = goOn([](Laboratory& lab) {
        lab.audio.atPlay[6] = AudioOutcome::gone;   // a capture
        lab.audio.atPlay[8] = AudioOutcome::gone;   // the second of the sweeps that follow
        lab.table.atMove[4] = TableOutcome::stalled;  // and the way back
    });
    EXPECT_EQ(std::count(words.begin(), words.end(), "ask other"), 3);
}

TEST_F(Faults, OfASimulatedChamberAreMetLikeAnyOther) {
    for (const FaultKind kind : {FaultKind::droppedBlock, FaultKind::deviceGone, FaultKind::stalled,
                                 FaultKind::rateChange, FaultKind::tableStalls, FaultKind::tableOvershoots,
                                 FaultKind::tableMisses, FaultKind::tableSilent, FaultKind::powerLoss,
                                 FaultKind::limitRefused}) {
        SCOPED_TRACE(faultName(kind));
        Scene faulty = scene;
        SceneFault fault = faultOf(kind);
        (fault.isOfAudio() ? fault.atShot : fault.atMove) = 2;
        faulty.faults = {fault};
        MemoryFiles files;
        Laboratory lab(plan, faulty, &files);
        EXPECT_EQ(lab.carryOut(set, files).ending, Ending::complete);
        EXPECT_THAT(lab.log.words({"ask"}), ElementsAre("ask other", "ask lay"));
        EXPECT_TRUE(essenceOfSealed(files) == whole);
    }
}

TEST_F(Faults, ForGoodEndARunEvenWithAnAttendantWhoIsPatient) {
    for (const FaultKind kind : {FaultKind::stalled, FaultKind::tableSilent, FaultKind::tableStalls}) {
        SCOPED_TRACE(faultName(kind));
        Scene faulty = scene;
        SceneFault fault = faultOf(kind);
        (fault.isOfAudio() ? fault.atShot : fault.atMove) = 2;
        fault.times = 0;
        faulty.faults = {fault};
        MemoryFiles files;
        Laboratory lab(plan, faulty, &files);
        EXPECT_EQ(lab.carryOut(set, files).ending, Ending::deviceFailed);
        EXPECT_LT(lab.attendant.requests.size(), 12U);
    }
}

TEST_F(Faults, ALoopbackThatIsUnpluggedMakesCapturesDoubtfulAndEndsNothing) {
    MemoryFiles files;
    MemoryFiles others;
    const std::size_t byChance = Laboratory(plan, scene, &others).carryOut(set, others).repeated;
    Laboratory lab(plan, scene, &files);
    lab.audio.tamper = [](const AudioShot& shot, AudioTake& take) {
        if (shot.label.find("horizontal:90") != std::string::npos)
            std::fill(take.channels[1].begin(), take.channels[1].end(), 0.0F);
    };
    const RunAccount account = lab.carryOut(set, files);
    EXPECT_EQ(account.ending, Ending::complete);
    EXPECT_EQ(account.repeated, byChance + 4);
    ASSERT_EQ(account.doubtful.size(), 2U);
    EXPECT_THAT(account.doubtful[0], HasSubstr("loopback"));
}

TEST_F(Faults, ALoopbackThatIsCutInTheFirstCheckEndsNeitherTheRunNorItsResumption) {
    MemoryFiles files;
    const auto cut = [](Laboratory& lab, bool stops) {
        lab.audio.tamper = [&lab, stops](const AudioShot& shot, AudioTake& take) {
            if (shot.label.find("axis-check/upright/1") != std::string::npos)
                std::fill(take.channels[1].begin(), take.channels[1].end(), 0.0F);
            if (stops && shot.label.find("horizontal:90") != std::string::npos) lab.stop.request_stop();
        };
    };
    {
        Laboratory lab(plan, scene, &files);
        cut(lab, true);
        ASSERT_EQ(lab.carryOut(set, files).ending, Ending::stopped);
    }
    Laboratory lab(plan, scene, &files);
    cut(lab, false);
    EXPECT_EQ(lab.carryOut(set, files).ending, Ending::complete);
    EXPECT_TRUE(essenceOfSealed(files) == whole);
}

TEST_F(Faults, ALoopbackThatIsSilentInTheFirstSweepEndsTheRun) {
    MemoryFiles files;
    Laboratory lab(plan, scene, &files);
    lab.audio.tamper = [](const AudioShot&, AudioTake& take) {
        std::fill(take.channels[1].begin(), take.channels[1].end(), 0.0F);
    };
    const RunAccount account = lab.carryOut(set, files);
    EXPECT_EQ(account.ending, Ending::deviceFailed);
    EXPECT_THAT(account.reason, HasSubstr("loopback"));
    EXPECT_EQ(lab.log.words({"play"}).size(), 1U);
}

}  // namespace
}  // namespace volvelle
