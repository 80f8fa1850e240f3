#include "Export/ResultFile.h"
#include "Text/Error.h"
#include "Text/TextFile.h"

#include <gtest/gtest.h>
#include <sys/resource.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <set>

namespace volvelle {
namespace {

namespace fs = std::filesystem;

class ResultFile : public testing::Test {
protected:
    void SetUp() override {
        folder_ = fs::path(testing::TempDir()) / ("volvelle-results-" + std::to_string(::getpid()));
        fs::remove_all(folder_);
        fs::create_directories(folder_);
    }
    void TearDown() override { fs::remove_all(folder_); }

    std::string at(const std::string& name) const { return (folder_ / name).string(); }
    std::set<std::string> names() const {
        std::set<std::string> all;
        for (const auto& entry : fs::directory_iterator(folder_))
            all.insert(entry.path().filename().string());
        return all;
    }
    /// What both functions say: the same kind and reason, or nothing.
    std::string refusal(const std::string& path, bool force) const {
        std::string checked, written;
        try {
            checkResultFile(path, force);
        } catch (const Error& e) {
            EXPECT_EQ(e.kind(), ErrorKind::output);
            EXPECT_EQ(e.where(), path);
            checked = e.problem();
        }
        try {
            writeResultFile(path, "new", force);
        } catch (const Error& e) {
            EXPECT_EQ(e.kind(), ErrorKind::output);
            EXPECT_EQ(e.where(), path);
            written = e.problem();
        }
        EXPECT_EQ(checked, written);
        return written;
    }
    fs::path folder_;
};

TEST_F(ResultFile, isWrittenWholeAndAlone) {
    EXPECT_EQ(refusal(at("a.csv"), false), "");
    EXPECT_EQ(readTextFile(at("a.csv")), "new");
    EXPECT_EQ(names(), std::set<std::string>{"a.csv"});
}

TEST_F(ResultFile, thatExistsIsReplacedByForceOnly) {
    writeResultFile(at("a.csv"), "old", false);
    EXPECT_EQ(refusal(at("a.csv"), false), "exists already");
    EXPECT_EQ(readTextFile(at("a.csv")), "old");
    EXPECT_EQ(refusal(at("a.csv"), true), "");
    EXPECT_EQ(readTextFile(at("a.csv")), "new");
    EXPECT_EQ(names(), std::set<std::string>{"a.csv"});
}

TEST_F(ResultFile, neverReplacesMeasurements) {
    const std::string run = std::string("VOLVELLE RUN\r\n\x1A\n") + "rest",
                      plain = "\x89HDF\r\n\x1A\n and more";
    writeResultFile(at("run.h5"), run, false);
    writeResultFile(at("plain.h5"), plain, false);
    for (const char* name : {"run.h5", "plain.h5"}) {
        EXPECT_EQ(refusal(at(name), true), "holds measurements, which are never replaced");
    }
    fs::create_symlink(at("run.h5"), at("link.csv"));
    EXPECT_EQ(refusal(at("link.csv"), true), "holds measurements, which are never replaced");
    EXPECT_EQ(names().size(), 3u);
}

TEST_F(ResultFile, needsAFolderAndIsNone) {
    EXPECT_EQ(refusal(at("no/a.csv"), false), "its folder does not exist");
    EXPECT_EQ(refusal(folder_.string(), true), "is a folder");
    writeResultFile(at("file"), "", false);
    EXPECT_EQ(refusal(at("file/a.csv"), false), "its folder does not exist");
    EXPECT_EQ(names(), std::set<std::string>{"file"});
}

TEST_F(ResultFile, inAReadOnlyFolderIsRefused) {
    fs::permissions(folder_, fs::perms::owner_read | fs::perms::owner_exec | fs::perms::others_read |
                                 fs::perms::others_exec);
    const bool root = ::geteuid() == 0;  // for whom no folder is read-only: become nobody for a moment
    if (root) {
        ASSERT_EQ(::seteuid(65534), 0);
    }
    const std::string refused = refusal(at("a.csv"), false);
    if (root) {
        ASSERT_EQ(::seteuid(0), 0);
    }
    EXPECT_EQ(refused.substr(0, 37), "its folder cannot be written to (Perm");
    fs::permissions(folder_, fs::perms::owner_all);
    EXPECT_TRUE(names().empty());
}

/// A limit on the size of files stands for the full disk: writes fail half way.
TEST_F(ResultFile, thatDoesNotFitLeavesTheFolderAsItWas) {
    writeResultFile(at("a.csv"), "old", false);
    rlimit before{};
    ASSERT_EQ(::getrlimit(RLIMIT_FSIZE, &before), 0);
    const auto handler = std::signal(SIGXFSZ, SIG_IGN);
    const rlimit little{4096, before.rlim_max};
    ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &little), 0);
    EXPECT_THROW(writeResultFile(at("a.csv"), std::string(100000, 'x'), true), Error);
    EXPECT_THROW(writeResultFile(at("b.csv"), std::string(100000, 'x'), false), Error);
    ::setrlimit(RLIMIT_FSIZE, &before);
    std::signal(SIGXFSZ, handler);
    EXPECT_EQ(readTextFile(at("a.csv")), "old");
    EXPECT_EQ(names(), std::set<std::string>{"a.csv"});
}

TEST_F(ResultFile, goesStraightToADevice) {
    EXPECT_NO_THROW(writeResultFile("/dev/null", "bytes", false));
    EXPECT_THROW(writeResultFile("/dev/full", std::string(100000, 'x'), false), Error);
    EXPECT_TRUE(fs::is_character_file("/dev/null"));
}

}  // namespace
}  // namespace volvelle
