#include "Run/FaultyFiles.h"
#include "Run/InventedRun.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <optional>

namespace volvelle {
namespace {

using ::testing::HasSubstr;

bool isWhole(const std::string& path, Files& files) {
    const auto pieces = verifyRun(path, files);
    return std::all_of(pieces.begin(), pieces.end(), [](const PieceReport& p) { return p.intact; }) &&
           testing::firstDifference(testing::inventedRun(), SealedRun(path, files).record()).empty();
}

std::size_t callsOfAFaultlessWrite() {
    MemoryFiles memory;
    FaultyFiles files(memory, Fault::fail, 0);
    testing::writeInvented(files, "lab/run.h5", testing::inventedRun());
    return files.calls();
}

/// One fault at each call in turn.
class RunSafety : public ::testing::TestWithParam<Fault> {};

TEST_P(RunSafety, EitherTheWholeRunIsThereOrTheFolderIsAsItWas) {
    const std::size_t calls = callsOfAFaultlessWrite();
    ASSERT_GT(calls, 20U);
    for (std::size_t at = 1; at <= calls; ++at) {
        MemoryFiles memory;
        memory.put("lab/other.h5", {std::byte{1}});
        FaultyFiles files(memory, GetParam(), at);
        std::optional<Error> error;
        try {
            testing::writeInvented(files, "lab/run.h5", testing::inventedRun());
        } catch (const Error& e) {
            error = e;
        }
        if (error) {
            ASSERT_EQ(memory.names(), std::vector<std::string>{"lab/other.h5"}) << at << error->what();
        } else {
            ASSERT_EQ(memory.names(), (std::vector<std::string>{"lab/other.h5", "lab/run.h5"})) << at;
            ASSERT_TRUE(isWhole("lab/run.h5", memory)) << at;
        }
        if (GetParam() == Fault::fail || GetParam() == Fault::shorten) {
            ASSERT_TRUE(error.has_value()) << files.faultyCall();
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Faults, RunSafety,
                         ::testing::Values(Fault::fail, Fault::shorten, Fault::drop, Fault::flipBit));

TEST(RunSafety, ALossOfPowerLeavesTheWholeRunOrNone) {
    const std::size_t calls = callsOfAFaultlessWrite();
    for (std::size_t at = 1; at <= calls; ++at) {
        MemoryFiles memory;
        FaultyFiles files(memory, Fault::powerLoss, at, [&] { memory.loseUnsynced(); });
        EXPECT_THROW(testing::writeInvented(files, "lab/run.h5", testing::inventedRun()), Error);
        for (const std::string& name : memory.names()) ASSERT_TRUE(isWhole(name, memory)) << at << name;
    }
}

TEST(RunSafety, AReportedRunSurvivesALossOfPower) {
    MemoryFiles memory;
    testing::writeInvented(memory, "lab/run.h5", testing::inventedRun());
    memory.loseUnsynced();
    EXPECT_TRUE(isWhole("lab/run.h5", memory));
}

TEST(RunSafety, ABitChangedOnTheWayToTheDiskIsFoundWhenItIsReadBack) {
    MemoryFiles memory;
    std::size_t writes = 0;
    for (std::size_t at = 1; at <= callsOfAFaultlessWrite(); ++at) {
        FaultyFiles files(memory, Fault::flipBit, at);
        try {
            testing::writeInvented(files, "run.h5", testing::inventedRun());
            memory.remove("run.h5");
        } catch (const Error& error) {
            if (files.faultyCall().starts_with("write ")) ++writes;
        }
        if (files.faultyCall().starts_with("write ")) {
            EXPECT_TRUE(memory.names().empty());
        }
    }
    EXPECT_GE(writes, 2U);
}

TEST(RunSafety, AFailingSyncOfTheFolderTakesTheRunBack) {
    class NoFolderSync final : public Files {
    public:
        MemoryFiles memory;
        bool exists(const std::string& p) const override { return memory.exists(p); }
        std::unique_ptr<OpenFile> openForReading(const std::string& p) const override {
            return memory.openForReading(p);
        }
        std::unique_ptr<OpenFile> create(const std::string& p) override { return memory.create(p); }
        void rename(const std::string& a, const std::string& b) override { memory.rename(a, b); }
        void remove(const std::string& p) override { memory.remove(p); }
        void syncFolderOf(const std::string& p) override {
            throw Error(ErrorKind::output, "cannot be synced", p, "");
        }
        void makeFolder(const std::string& p) override { memory.makeFolder(p); }
        void removeFolder(const std::string& p) override { memory.removeFolder(p); }
        std::vector<std::string> listFolder(const std::string& p) const override {
            return memory.listFolder(p);
        }
        std::uint64_t roomLeft(const std::string& p) const override { return memory.roomLeft(p); }
        std::unique_ptr<FileLock> lock(const std::string& p) override { return memory.lock(p); }
    } files;
    EXPECT_THROW(testing::writeInvented(files, "run.h5", testing::inventedRun()), Error);
    EXPECT_TRUE(files.memory.names().empty());
}

}  // namespace
}  // namespace volvelle
