#include "Run/CapturesUnderWay.h"

#include "Run/InventedCaptures.h"
#include "Run/InventedRun.h"
#include "Run/MemoryFiles.h"
#include "Run/OpenRun.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <limits>
#include <span>

namespace volvelle {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using testing::inventedHead;
using testing::inventedSteps;

const std::string name = "lab/run.h5", folder = "lab/run.h5.part";

Error errorOf(const std::function<void()>& act) {
    try {
        act();
    } catch (const Error& error) {
        return error;
    }
    ADD_FAILURE() << "nothing was thrown";
    return {ErrorKind::bug, "", "", ""};
}

/// A run that was left after so many steps.
void leave(Files& files, std::size_t steps) {
    const auto run = CapturesUnderWay::begin(name, inventedHead(), files);
    for (const auto& step : inventedSteps(steps)) testing::carryOut(step, *run);
}

TEST(CapturesUnderWay, WhatWasKeptIsReadAsItWasGivenWhileTheRunGoesOn) {
    MemoryFiles files;
    const auto steps = inventedSteps(12);
    const auto run = CapturesUnderWay::begin(name, inventedHead(), files);
    for (std::size_t i = 0; i < steps.size(); ++i) {
        testing::carryOut(steps[i], *run);
        ASSERT_EQ(testing::firstLoss(*run, steps, i + 1, i + 1 == steps.size()), "");
        const auto other = CapturesUnderWay::look(name, files);
        ASSERT_EQ(testing::firstLoss(*other, steps, i + 1, i + 1 == steps.size()), "");
    }
    EXPECT_TRUE(isUnsealed(*run));
    EXPECT_EQ(run->path(), folder);
}

TEST(CapturesUnderWay, TheSealedRunHoldsWhatWasKeptAndTheFolderIsGone) {
    MemoryFiles files;
    const auto steps = inventedSteps(12);
    const auto run = CapturesUnderWay::begin(name, inventedHead(), files);
    testing::finish(*run, steps, 0);
    EXPECT_THAT(files.names(), ElementsAre(name));
    EXPECT_FALSE(files.exists(folder));
    EXPECT_EQ(testing::firstLoss(SealedRun(name, files), steps, steps.size(), true), "");
    EXPECT_EQ(errorOf([&] { run->keep(0, steps[0].capture, steps[0].samples); }).kind(), ErrorKind::bug);
}

TEST(CapturesUnderWay, ARunThatWasGoneOnWithIsEqualBitForBitToAnUndisturbedOne) {
    MemoryFiles undisturbed, files;
    const auto steps = inventedSteps(14);
    testing::finish(*CapturesUnderWay::begin(name, inventedHead(), undisturbed), steps, 0);
    for (std::size_t left = 0; left <= steps.size(); ++left) {
        leave(files, left);
        const auto run = CapturesUnderWay::resume(name, files);
        ASSERT_EQ(testing::stepsIn(*run), left);
        testing::finish(*run, steps, left);
        ASSERT_EQ(files.bytes(name), undisturbed.bytes(name)) << left;
        files.remove(name);
    }
}

TEST(CapturesUnderWay, WhatIsKeptSurvivesALossOfPower) {
    MemoryFiles files;
    leave(files, 9);
    files.loseUnsynced();
    EXPECT_EQ(testing::firstLoss(*CapturesUnderWay::look(name, files), inventedSteps(9), 9, false), "");
}

TEST(CapturesUnderWay, SamplesOfIntegerDrivesAreRoundedAndHeldAtFullScale) {
    MemoryFiles files;
    auto step = inventedSteps(2)[1];
    ASSERT_EQ(step.drive, 1U);
    step.samples[0] = 1.5F;
    step.samples[1] = -1.5F;
    step.samples[2] = 0x1.4p-31F;
    const auto run = CapturesUnderWay::begin(name, inventedHead(), files);
    run->keep(1, step.capture, step.samples);
    std::vector<float> read(40);
    run->readCapture(1, 0, read);
    EXPECT_EQ(read[0], 1.0F);
    EXPECT_EQ(read[1], -1.0F);
    EXPECT_EQ(read[2], 0x1p-31F);
    step.samples[5] = std::numeric_limits<float>::quiet_NaN();
    EXPECT_THAT(errorOf([&] { run->keep(1, step.capture, step.samples); }).what(), HasSubstr("no numbers"));
    EXPECT_EQ(run->record().drives[1].captures.size(), 1U);
}

TEST(CapturesUnderWay, ABeginningRefusesWhatExistsAndSaysHowToGoOn) {
    MemoryFiles files;
    leave(files, 3);
    const Error error = errorOf([&] { CapturesUnderWay::begin(name, inventedHead(), files); });
    EXPECT_EQ(error.kind(), ErrorKind::output);
    EXPECT_THAT(error.what(), HasSubstr("--resume"));
    EXPECT_EQ(testing::stepsIn(*CapturesUnderWay::look(name, files)), 3U);
    files.put("lab/other.h5", {std::byte{1}});
    EXPECT_EQ(errorOf([&] { CapturesUnderWay::begin("lab/other.h5", inventedHead(), files); }).kind(),
              ErrorKind::output);
    EXPECT_FALSE(files.exists("lab/other.h5.part"));
}

TEST(CapturesUnderWay, AFolderWithoutAHeadIsTakenOver) {
    MemoryFiles files;
    files.makeFolder(folder);
    files.put(folder + "/head.h5.writing", {std::byte{1}});
    files.put(folder + "/lock", {});
    EXPECT_THAT(errorOf([&] { CapturesUnderWay::resume(name, files); }).what(), HasSubstr("without --resume"));
    EXPECT_EQ(errorOf([&] { CapturesUnderWay::look(name, files); }).kind(), ErrorKind::input);
    testing::finish(*CapturesUnderWay::begin(name, inventedHead(), files), inventedSteps(4), 0);
    EXPECT_THAT(files.names(), ElementsAre(name));
}

TEST(CapturesUnderWay, OneProcessWritesAtATimeAndOthersMayLook) {
    MemoryFiles files;
    const auto first = CapturesUnderWay::begin(name, inventedHead(), files);
    EXPECT_EQ(errorOf([&] { CapturesUnderWay::resume(name, files); }).kind(), ErrorKind::output);
    const auto looker = CapturesUnderWay::look(name, files);
    const auto step = inventedSteps(1)[0];
    EXPECT_EQ(errorOf([&] { looker->keep(0, step.capture, step.samples); }).kind(), ErrorKind::bug);
    first->keep(0, step.capture, step.samples);
    EXPECT_EQ(testing::stepsIn(*looker), 0U);
}

TEST(CapturesUnderWay, OnlyWhatIsThereIsGoneOnWith) {
    MemoryFiles files;
    EXPECT_EQ(errorOf([&] { CapturesUnderWay::resume(name, files); }).kind(), ErrorKind::input);
    EXPECT_EQ(errorOf([&] { CapturesUnderWay::look(name, files); }).kind(), ErrorKind::input);
    EXPECT_THAT(files.names(), IsEmpty());
}

TEST(CapturesUnderWay, ADamagedPartIsNamedAndTheOthersStay) {
    MemoryFiles files;
    leave(files, 5);
    auto bytes = files.bytes(folder + "/000002-capture.h5");
    auto table = bytes;
    table[4096 + 100] ^= std::byte{1};
    files.put(folder + "/000002-capture.h5", table);
    const Error error = errorOf([&] { CapturesUnderWay::resume(name, files); });
    EXPECT_EQ(error.kind(), ErrorKind::damaged);
    EXPECT_THAT(error.what(), HasSubstr("000002-capture.h5"));
    for (const PieceReport& piece : verifyCapturesUnderWay(name, files))
        EXPECT_EQ(piece.intact, piece.name != "000002-capture.h5");
    files.remove(folder + "/000002-capture.h5");
    EXPECT_EQ(testing::stepsIn(*CapturesUnderWay::resume(name, files)), 4U);
}

TEST(CapturesUnderWay, DamagedSamplesAreFoundWhenTheyAreReadAndKeepTheRunFromBeingSealed) {
    MemoryFiles files;
    const auto steps = inventedSteps(4);
    leave(files, 4);
    const std::string part = folder + "/000001-capture.h5";
    auto bytes = files.bytes(part);
    const auto* sample = reinterpret_cast<const std::byte*>(&steps[0].samples[50]);
    const auto at = std::search(bytes.begin(), bytes.end(), sample, sample + 40);
    ASSERT_NE(at, bytes.end());
    *at ^= std::byte{1};
    files.put(part, bytes);
    const auto run = CapturesUnderWay::resume(name, files);
    std::vector<float> samples(100);
    const Error error = errorOf([&] { run->readCapture(0, 0, samples); });
    EXPECT_EQ(error.kind(), ErrorKind::damaged);
    EXPECT_THAT(error.what(), HasSubstr("000001-capture.h5"));
    EXPECT_EQ(errorOf([&] { run->seal(); }).kind(), ErrorKind::damaged);
    EXPECT_FALSE(files.exists(name));
    EXPECT_EQ(files.names().size(), 6U);  // four parts, head, lock
}

TEST(CapturesUnderWay, APartOfAnotherRunIsRefused) {
    MemoryFiles files;
    leave(files, 2);
    RunRecord other = inventedHead();
    other.drives[0].samplesPerChannel = 60;
    auto step = inventedSteps(1)[0];
    step.samples.resize(120);
    CapturesUnderWay::begin("lab/b.h5", other, files)->keep(0, step.capture, step.samples);
    files.put(folder + "/000009-capture.h5", files.bytes("lab/b.h5.part/000001-capture.h5"));
    EXPECT_THAT(errorOf([&] { CapturesUnderWay::resume(name, files); }).what(), HasSubstr("000009-capture.h5"));
}

TEST(CapturesUnderWay, ADriveWithoutCapturesIsNamedWhenTheRunIsToBeSealed) {
    MemoryFiles files;
    leave(files, 1);
    const Error error = errorOf([&] { CapturesUnderWay::resume(name, files)->seal(); });
    EXPECT_EQ(error.kind(), ErrorKind::input);
    EXPECT_THAT(error.what(), HasSubstr("'rear'"));
    EXPECT_EQ(testing::stepsIn(*CapturesUnderWay::look(name, files)), 1U);
}

TEST(CapturesUnderWay, PartsLeftBesideASealedRunAreRemovedOnlyIfItHoldsThem) {
    MemoryFiles files, sealed;
    const auto steps = inventedSteps(6);
    leave(files, 6);
    testing::finish(*CapturesUnderWay::begin(name, inventedHead(), sealed), steps, 0);
    files.put(name, sealed.bytes(name));
    auto extra = steps[0];
    extra.capture.attempt = 7;
    {
        MemoryFiles other;
        const auto run = CapturesUnderWay::begin(name, inventedHead(), other);
        run->keep(0, extra.capture, extra.samples);
        files.put(folder + "/000007-capture.h5", other.bytes(folder + "/000001-capture.h5"));
    }
    EXPECT_THAT(errorOf([&] { CapturesUnderWay::resume(name, files); }).what(), HasSubstr("000007-capture.h5"));
    EXPECT_TRUE(files.exists(folder + "/000001-capture.h5"));
    files.remove(folder + "/000007-capture.h5");
    files.remove(folder + "/000002-capture.h5");  // removing had begun
    EXPECT_THAT(errorOf([&] { CapturesUnderWay::resume(name, files); }).what(), HasSubstr("sealed"));
    EXPECT_THAT(files.names(), ElementsAre(name));
}

TEST(CapturesUnderWay, ADamagedSealedRunLeavesThePartsThere) {
    MemoryFiles files, sealed;
    leave(files, 6);
    testing::finish(*CapturesUnderWay::begin(name, inventedHead(), sealed), inventedSteps(6), 0);
    auto bytes = sealed.bytes(name);
    bytes[bytes.size() - 9] ^= std::byte{4};
    files.put(name, bytes);
    EXPECT_EQ(errorOf([&] { CapturesUnderWay::resume(name, files); }).kind(), ErrorKind::damaged);
    EXPECT_TRUE(files.exists(folder + "/000006-capture.h5"));
}

TEST(CapturesUnderWay, JudgementsOfTheWholeRunGoIntoTheSealedOne) {
    MemoryFiles files;
    leave(files, 5);
    const auto run = CapturesUnderWay::resume(name, files);
    auto captures = run->record().drives[0].captures;
    captures[0].state = CaptureState::doubtful;
    captures[0].reason = "drift";
    captures[0].quality.repeatDifferenceDb = 0.25;
    run->restate(0, captures);
    EXPECT_EQ(errorOf([&] { run->restate(0, std::span(captures).first(1)); }).kind(), ErrorKind::bug);
    run->seal();
    const SealedRun sealed(name, files);
    const Capture& held = sealed.record().drives[0].captures[0];
    EXPECT_EQ(held.state, CaptureState::doubtful);
    EXPECT_EQ(held.reason, "drift");
    EXPECT_EQ(held.quality.repeatDifferenceDb, 0.25);
}

TEST(CapturesUnderWay, AnAttemptThatTheWholeRunCallsDoubtfulGivesWayToAnEarlierOne) {
    MemoryFiles files;
    const auto run = CapturesUnderWay::begin(name, inventedHead(), files);
    const DriveRecord& drive = run->record().drives[0];
    const std::vector<float> samples(drive.channelRoles.size() * drive.samplesPerChannel);
    Capture capture;
    capture.id = "one";
    run->keep(0, capture, samples);
    capture.attempt = 2;
    run->keep(0, capture, samples);
    ASSERT_EQ(drive.captures[0].state, CaptureState::superseded);
    auto judged = drive.captures;
    judged[1].state = CaptureState::doubtful;
    judged[1].reason = "drift";
    run->restate(0, judged);
    EXPECT_EQ(drive.captures[0].state, CaptureState::kept);
    EXPECT_EQ(drive.captures[0].reason, "");
    EXPECT_EQ(drive.captures[1].state, CaptureState::superseded);
    EXPECT_EQ(drive.captures[1].reason, "superseded by attempt 1: drift");
}

TEST(OpenRun, OpensWhatIsThereUnderAllItsNames) {
    MemoryFiles files;
    leave(files, 4);
    for (const std::string& path : {name, folder, folder + "/"}) {
        const auto run = openRun(path, files);
        EXPECT_TRUE(isUnsealed(*run));
        EXPECT_EQ(fingerprintOrUnsealed(*run), "unsealed");
        EXPECT_EQ(testing::stepsIn(*run), 4U);
    }
    CapturesUnderWay::resume(name, files)->seal();
    for (const std::string& path : {name, folder, folder + "/"}) {
        const auto run = openRun(path, files);
        EXPECT_FALSE(isUnsealed(*run));
        EXPECT_EQ(run->path(), name);
    }
    EXPECT_EQ(errorOf([&] { openRun("lab/none.h5", files); }).kind(), ErrorKind::input);
}

TEST(OpenRun, APartAloneIsNoRun) {
    MemoryFiles files;
    leave(files, 2);
    for (const char* part : {"/head.h5", "/000001-capture.h5"})
        EXPECT_THAT(errorOf([&] { openRun(folder + part, files); }).what(), HasSubstr("one part of a run"));
}

TEST(RequireRoom, CapturesAndTheSealedRunLieOnTheDiskTogether) {
    MemoryFiles files;
    files.room = 2000000;
    requireRoom(name, 1000000, 1000000, files);
    requireRoom(name, 0, 2000000, files);
    const Error error = errorOf([&] { requireRoom(name, 1000001, 1000000, files); });
    EXPECT_EQ(error.kind(), ErrorKind::output);
    EXPECT_THAT(error.what(), HasSubstr("3 MB"));
    EXPECT_GT(diskFiles().roomLeft("/tmp/x"), 0U);
}

}  // namespace
}  // namespace volvelle
