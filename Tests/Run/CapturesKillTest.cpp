#include "Run/FaultyFiles.h"
#include "Run/InventedCaptures.h"
#include "Run/RunFolder.h"
#include "Text/Error.h"

#include <gtest/gtest.h>
#include <sys/mount.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cerrno>
#include <csignal>
#include <iostream>
#include <memory>
#include <random>
#include <span>
#include <string>
#include <system_error>
#include <thread>
#include <vector>

namespace volvelle {
namespace {

using testing::RunFolder;
using testing::Step;
using Duration = std::chrono::duration<double>;

// ---- a process that writes a run, and what it says of itself through a pipe

constexpr char begun = 'b', kept = 'k', sealing = 's', sealed = 'S';

/// Goes on with the run where there is one, else begins it, and says so after every step. Never returns.
[[noreturn]] void write(const std::string& path, const std::vector<Step>& steps, int pipe, std::size_t dieAtCall) {
    FaultyFiles files(diskFiles(), Fault::powerLoss, dieAtCall, [] { ::kill(::getpid(), SIGKILL); });
    const auto say = [&](char word) {
        if (::write(pipe, &word, 1) != 1) ::_exit(3);
    };
    try {
        const bool goesOn = diskFiles().exists(path + ".part/head.h5");
        const auto run = goesOn ? CapturesUnderWay::resume(path, files)
                                : CapturesUnderWay::begin(path, testing::inventedHead(), files);
        say(begun);
        for (std::size_t i = testing::stepsIn(*run); i < steps.size(); ++i) {
            testing::carryOut(steps[i], *run);
            say(kept);
        }
        say(sealing);
        run->seal();
        say(sealed);
    } catch (const Error&) {
        ::_exit(diskFiles().exists(path) ? 0 : 1);  // sealed before, and only cleaned up now
    }
    ::_exit(0);
}

struct Ending {
    std::string said;
    bool killed = false;
    int code = 0;
};

/// Starts the process, kills it at that call or (0) after `after` if it still lives then, and waits for its end.
/// The time only scatters the kills between calls too: nothing is asserted of it.
Ending runAndKill(const std::string& path, const std::vector<Step>& steps, std::size_t atCall, Duration after) {
    int pipe[2] = {-1, -1};
    if (::pipe(pipe) != 0) throw std::system_error(errno, std::generic_category());
    const pid_t child = ::fork();
    if (child == 0) {
        ::close(pipe[0]);
        write(path, steps, pipe[1], atCall);
    }
    ::close(pipe[1]);
    if (atCall == 0) {
        std::this_thread::sleep_for(after);
        ::kill(child, SIGKILL);
    }
    Ending ending;
    std::array<char, 64> words{};
    for (ssize_t got = 0; (got = ::read(pipe[0], words.data(), words.size())) > 0;)
        ending.said.append(words.data(), static_cast<std::size_t>(got));
    ::close(pipe[0]);
    int status = 0;
    ::waitpid(child, &status, 0);
    ending.killed = WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL;
    if (WIFEXITED(status)) ending.code = WEXITSTATUS(status);
    return ending;
}

std::vector<std::byte> bytesOf(const std::string& path) {
    const auto file = diskFiles().openForReading(path);
    std::vector<std::byte> bytes(file->size());
    file->readAt(0, bytes);
    return bytes;
}

std::vector<std::byte> undisturbed(const std::vector<Step>& steps) {
    const RunFolder folder;
    testing::finish(*CapturesUnderWay::begin(folder / "run.h5", testing::inventedHead(), diskFiles()), steps, 0);
    return bytesOf(folder / "run.h5");
}

// ---- kill -9

/// Where processes were when they were killed.
struct Phases {
    std::size_t beginning = 0, capturing = 0, sealing = 0, removing = 0, all = 0;
};

class Killed : public ::testing::Test {
protected:
    /// One run, killed again and again until it is sealed or enough were killed.
    void playOneRun() {
        const RunFolder folder;
        path_ = folder / "run.h5";
        std::size_t reported = 0;
        while (phases_.all < 200) {
            const bool byCall = random_() % 2 == 0;
            const std::size_t atCall = byCall ? 1 + random_() % calls_ : 0;
            const Duration after = wholeRun_ * (static_cast<double>(random_() % 1000) / 900);
            const Ending ending = runAndKill(path_, steps_, atCall, after);
            ASSERT_EQ(ending.code, 0) << ending.said;
            count(ending);
            reported = check(ending, reported);
            if (HasFatalFailure() || !ending.killed) break;
        }
        complete();
    }

    void complete() {
        if (diskFiles().exists(path_)) {
            if (diskFiles().exists(path_ + ".part")) {
                ASSERT_THROW(CapturesUnderWay::resume(path_, diskFiles()), Error);
            }
        } else if (diskFiles().exists(path_ + ".part/head.h5")) {
            const auto run = CapturesUnderWay::resume(path_, diskFiles());
            testing::finish(*run, steps_, testing::stepsIn(*run));
        } else {
            testing::finish(*CapturesUnderWay::begin(path_, testing::inventedHead(), diskFiles()), steps_, 0);
        }
        ASSERT_FALSE(diskFiles().exists(path_ + ".part"));
        ASSERT_EQ(diskFiles().listFolder(folderOf(path_)).size(), 1U);
        ASSERT_EQ(bytesOf(path_), whole_);
    }

    void count(const Ending& ending) {
        if (!ending.killed) return;
        ++phases_.all;
        if (ending.said.empty())
            ++phases_.beginning;
        else if (ending.said.back() == sealing)
            ++(diskFiles().exists(path_) ? phases_.removing : phases_.sealing);
        else
            ++phases_.capturing;
    }

    /// How many steps were ever reported, once all of them are found.
    std::size_t check(const Ending& ending, std::size_t reported) {
        if (diskFiles().exists(path_)) {
            EXPECT_EQ(bytesOf(path_), whole_);
            return steps_.size();
        }
        if (!diskFiles().exists(path_ + ".part/head.h5")) {
            EXPECT_TRUE(reported == 0 && ending.said.empty());
            return 0;
        }
        const auto run = CapturesUnderWay::look(path_, diskFiles());
        const auto now = static_cast<std::size_t>(std::count(ending.said.begin(), ending.said.end(), kept));
        const std::size_t held = testing::stepsIn(*run);
        EXPECT_GE(held, reported + now);
        EXPECT_EQ(testing::firstLoss(*run, steps_, held, false), "");
        return held;
    }

    std::mt19937 random_;
    std::vector<Step> steps_ = testing::inventedSteps(12);
    std::vector<std::byte> whole_;
    std::size_t calls_ = 0;
    Duration wholeRun_{};
    std::string path_;
    Phases phases_;
};

TEST_F(Killed, TwoHundredKillsOfTheWriterLoseNothingThatItReported) {
    const unsigned seed = std::random_device()();
    RecordProperty("seed", std::to_string(seed));
    SCOPED_TRACE("seed " + std::to_string(seed));
    random_.seed(seed);
    whole_ = undisturbed(steps_);
    {
        const RunFolder folder;
        FaultyFiles files(diskFiles(), Fault::fail, 0);
        const auto start = std::chrono::steady_clock::now();
        testing::finish(*CapturesUnderWay::begin(folder / "run.h5", testing::inventedHead(), files), steps_, 0);
        wholeRun_ = std::chrono::steady_clock::now() - start;
        calls_ = files.calls();
    }
    while (phases_.all < 200) {
        playOneRun();
        ASSERT_FALSE(HasFailure());
    }
    std::cout << "seed " << seed << ": killed " << phases_.beginning << " times before anything was reported, "
              << phases_.capturing << " between captures, " << phases_.sealing << " while the run was sealed, "
              << phases_.removing << " while parts were removed\n";
    // How they spread depends on the machine: removing parts is short where everything else is slow.
    EXPECT_GT(phases_.capturing, 0U);
    EXPECT_GT(phases_.beginning + phases_.sealing + phases_.removing, 0U);
}

// ---- a full disk

/// A small disk of its own; not there where it may not be made.
class SmallDisk {
public:
    SmallDisk(const std::string& path, std::size_t bytes) : path_(path) {
        isThere_ = ::mount("tmpfs", path.c_str(), "tmpfs", 0, option(bytes).c_str()) == 0;
    }
    ~SmallDisk() {
        if (isThere_) ::umount(path_.c_str());
    }
    SmallDisk(const SmallDisk&) = delete;
    SmallDisk& operator=(const SmallDisk&) = delete;
    bool isThere() const { return isThere_; }
    void grow(std::size_t bytes) const {
        ASSERT_EQ(::mount("tmpfs", path_.c_str(), "tmpfs", MS_REMOUNT, option(bytes).c_str()), 0);
    }

private:
    static std::string option(std::size_t bytes) { return "size=" + std::to_string(bytes); }
    std::string path_;
    bool isThere_ = false;
};

TEST(FullDisk, WhatWasReportedStaysAndTheRunIsCompletedOnceThereIsRoom) {
    const std::vector<Step> steps = testing::inventedSteps(10);
    const auto whole = undisturbed(steps);
    std::size_t atBegin = 0, atCapture = 0, atSealing = 0;
    for (std::size_t size = 16384; size < 1000000; size += 24576) {
        const RunFolder folder;
        const SmallDisk disk(folder.path.string(), size);
        if (!disk.isThere()) GTEST_SKIP() << "a tmpfs cannot be mounted here (not root)";
        const std::string path = folder / "run.h5";
        std::size_t reported = 0;
        std::unique_ptr<CapturesUnderWay> run;
        try {
            run = CapturesUnderWay::begin(path, testing::inventedHead(), diskFiles());
            for (; reported < steps.size(); ++reported) testing::carryOut(steps[reported], *run);
            run->seal();
        } catch (const Error& error) {
            ASSERT_EQ(error.kind(), ErrorKind::output) << error.what();
            ++(!run ? atBegin : reported < steps.size() ? atCapture : atSealing);
        }
        run.reset();
        disk.grow(std::size_t{4} << 20);
        if (!diskFiles().exists(path + ".part") && !diskFiles().exists(path)) {
            ASSERT_EQ(reported, 0U);
            testing::finish(*CapturesUnderWay::begin(path, testing::inventedHead(), diskFiles()), steps, 0);
        } else if (!diskFiles().exists(path)) {
            run = CapturesUnderWay::resume(path, diskFiles());
            ASSERT_EQ(testing::stepsIn(*run), reported);
            ASSERT_EQ(testing::firstLoss(*run, steps, reported, false), "");
            testing::finish(*run, steps, reported);
        }
        ASSERT_EQ(bytesOf(path), whole) << size;
        ASSERT_EQ(diskFiles().listFolder(folderOf(path)).size(), 1U);
    }
    EXPECT_GT(atBegin, 0U);
    EXPECT_GT(atCapture, 0U);
    EXPECT_GT(atSealing, 0U);
}

// ---- the lock between processes

TEST(FileLock, ALivingProcessIsNamedAndOneThatWasKilledHasLostItsLock) {
    const RunFolder folder;
    int pipe[2] = {-1, -1};
    ASSERT_EQ(::pipe(pipe), 0);
    const pid_t child = ::fork();
    if (child == 0) {
        const auto lock = diskFiles().lock(folder / "lock");
        if (::write(pipe[1], "x", 1) != 1) ::_exit(1);
        for (;;) ::pause();
    }
    char word = 0;
    ASSERT_EQ(::read(pipe[0], &word, 1), 1);
    try {
        diskFiles().lock(folder / "lock");
        ADD_FAILURE() << "two processes hold one lock";
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::output);
        EXPECT_NE(std::string(error.what()).find("process " + std::to_string(child) + " "), std::string::npos)
            << error.what();
    }
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    EXPECT_TRUE(diskFiles().exists(folder / "lock"));
    diskFiles().lock(folder / "lock")->release();
    EXPECT_FALSE(diskFiles().exists(folder / "lock"));
    ::close(pipe[0]);
    ::close(pipe[1]);
}

void putText(const std::string& path, const std::string& text) {
    diskFiles().create(path)->writeAt(0, std::as_bytes(std::span(text)));
}

TEST(FileLock, AFileThatNamesNobodyWhoLivesIsTakenOver) {
    const RunFolder folder;
    const std::string self = std::to_string(::getpid()), parent = std::to_string(::getppid());
    for (const std::string& text :
         {std::string(), std::string("process 999999999\nstart 5\nboot x\nhost y\n").substr(0, 17),
          "process " + parent + "\nstart 5\nboot " + testing::bootOfThisMachine() + "\nhost elsewhere\n",
          "process " + self + "\nstart 5\nboot none\nhost " + testing::nameOfThisMachine() + "\n"}) {
        putText(folder / "lock", text);
        const bool isCut = text.size() == 17;
        if (isCut) {  // it names a process, but no machine on which that could be looked for
            EXPECT_THROW(diskFiles().lock(folder / "lock"), Error);
            diskFiles().remove(folder / "lock");
        } else {
            diskFiles().lock(folder / "lock")->release();
        }
    }
}

TEST(FileLock, AProcessOfAnotherMachineCountsAsLivingAndTheMessageSaysWhatToDo) {
    const RunFolder folder;
    putText(folder / "lock", "process 1\nstart 5\nboot none\nhost the-other-one\n");
    try {
        diskFiles().lock(folder / "lock");
        ADD_FAILURE() << "taken";
    } catch (const Error& error) {
        EXPECT_NE(std::string(error.what()).find("the-other-one"), std::string::npos);
        EXPECT_NE(std::string(error.what()).find("remove this file"), std::string::npos);
    }
}

TEST(FileLock, OfManyProcessesThatWantItOneGetsIt) {
    const RunFolder folder;
    putText(folder / "lock", "process 999999999\nstart 5\nboot none\nhost " + testing::nameOfThisMachine() + "\n");
    int pipe[2] = {-1, -1};
    ASSERT_EQ(::pipe(pipe), 0);
    std::vector<pid_t> children;
    for (int i = 0; i < 12; ++i) {
        children.push_back(::fork());
        if (children.back() != 0) continue;
        char word = 'h';
        try {
            const auto lock = diskFiles().lock(folder / "lock");
            if (::write(pipe[1], &word, 1) != 1) ::_exit(1);
            for (;;) ::pause();
        } catch (const Error&) {
            word = 'n';
            if (::write(pipe[1], &word, 1) != 1) ::_exit(1);
        }
        ::_exit(0);
    }
    int holders = 0;
    for (std::size_t i = 0; i < children.size(); ++i) {
        char word = 0;
        ASSERT_EQ(::read(pipe[0], &word, 1), 1);
        holders += word == 'h';
    }
    EXPECT_EQ(holders, 1);
    for (const pid_t child : children) {
        ::kill(child, SIGKILL);
        ::waitpid(child, nullptr, 0);
    }
    ::close(pipe[0]);
    ::close(pipe[1]);
}

}  // namespace
}  // namespace volvelle
