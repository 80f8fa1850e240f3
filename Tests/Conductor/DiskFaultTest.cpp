#include "Conductor/Laboratory.h"
#include "Run/FaultyFiles.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <optional>

namespace volvelle {
namespace {

using namespace testing;

/// What a sitting on faulty files came to.
struct Course {
    std::optional<Error> error;
    std::map<std::string, std::string> acknowledged;  ///< captures that were said to be saved
};

/// Remembers each capture that the conductor says is kept.
struct Acknowledged final : RunWatcher {
    void progressed(const RunProgress&) override { ++count; }
    std::size_t count = 0;
};

class DiskFaults : public ::testing::TestWithParam<Fault> {
protected:
    const Plan plan = smallPlan();
    const Scene scene = smallScene();
    const AngleSet set = onAxis();
    std::map<std::string, AudioTake> sounds;  ///< the same in every sitting: one seed, one result

    std::size_t carryOut(Files& files, MemoryFiles& disk, std::optional<Error>& error) {
        Laboratory lab(plan, scene, &disk);
        lab.audio.remembered = &sounds;
        Acknowledged watcher;
        lab.watcher = &watcher;
        try {
            lab.carryOut(set, files);
        } catch (const Error& thrown) {
            error = thrown;
            const auto entries = lab.log.entries();
            if (!entries.empty()) {  // whatever fails: silence, and the table stands
                EXPECT_EQ(entries.back().what, "stop");
                EXPECT_EQ(entries[entries.size() - 2].what, "silence");
            }
        }
        return watcher.count;
    }
};

TEST_P(DiskFaults, WhicheverCallGoesWrongWhatWasAcknowledgedIsThereAndTheRunCanBeCompleted) {
    MemoryFiles undisturbed;
    FaultyFiles counting(undisturbed, Fault::fail, 0);
    std::optional<Error> none;
    carryOut(counting, undisturbed, none);
    ASSERT_FALSE(none.has_value());
    const std::string whole = essenceOfSealed(undisturbed);
    const auto all = capturesOf(SealedRun(runName, undisturbed));
    std::size_t failed = 0;
    for (std::size_t at = 1; at <= counting.calls(); ++at) {
        MemoryFiles disk;
        FaultyFiles files(disk, GetParam(), at, [&] { disk.loseUnsynced(); });
        std::optional<Error> error;
        const std::size_t acknowledged = carryOut(files, disk, error);
        SCOPED_TRACE(std::to_string(at) + ": " + files.faultyCall() + (error ? error->what() : ""));
        if (error) {
            ++failed;
            EXPECT_TRUE(error->kind() == ErrorKind::output || error->kind() == ErrorKind::damaged ||
                        error->kind() == ErrorKind::input)
                << exitCode(error->kind());
        }
        // And the machine is started anew; a power cut besides is more than a disk that lies about a sync allows.
        if (GetParam() != Fault::drop) disk.loseUnsynced();
        if (!disk.exists(runName) && disk.exists(runName + ".part/head.h5")) {
            const auto held = capturesOf(*CapturesUnderWay::look(runName, disk));
            ASSERT_GE(held.size(), acknowledged);
            for (const auto& [id, capture] : held) ASSERT_TRUE(all.contains(id) && all.at(id) == capture) << id;
        } else {
            ASSERT_TRUE(acknowledged == 0 || disk.exists(runName));
        }
        if (!disk.exists(runName)) {
            std::optional<Error> again;
            carryOut(disk, disk, again);
            ASSERT_FALSE(again.has_value()) << again->what();
        }
        ASSERT_TRUE(essenceOfSealed(disk) == whole);
    }
    if (GetParam() == Fault::fail || GetParam() == Fault::powerLoss) {
        EXPECT_GT(failed, counting.calls() / 2);
    }
}

INSTANTIATE_TEST_SUITE_P(All, DiskFaults,
                         ::testing::Values(Fault::fail, Fault::shorten, Fault::drop, Fault::flipBit,
                                           Fault::powerLoss));

}  // namespace
}  // namespace volvelle
