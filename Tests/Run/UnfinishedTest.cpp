#include "Run/Unfinished.h"

#include "Text/TextFile.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <stdexcept>

namespace volvelle {
namespace {

namespace fs = std::filesystem;

fs::path place(const std::string& name) {
    const fs::path path =
        fs::path(testing::TempDir()) / ("unfinished-" + name + "-" + std::to_string(::getpid()));
    fs::remove_all(path);
    return path;
}

void makeFile(const fs::path& path) {
    writeNewTextFile(path.string(), "half");
}

TEST(UnfinishedDeathTest, AStopRemovesFilesAndWholeFolders) {
    const fs::path file = place("file"), folder = place("folder");
    const auto beginAndStop = [&] {
        const Unfinished first(file.string(), [&] { makeFile(file); });
        const Unfinished second(folder.string(), [&] {
            fs::create_directories(folder / "below");
            makeFile(folder / "below" / "x");
        });
        if (!fs::exists(file) || !fs::exists(folder / "below" / "x")) ::_exit(1);
        removeUnfinished();
        ::_exit(0);
    };
    EXPECT_EXIT(beginAndStop(), testing::ExitedWithCode(0), "");
    EXPECT_FALSE(fs::exists(file));
    EXPECT_FALSE(fs::exists(folder));
}

TEST(UnfinishedDeathTest, AStopLeavesWhatIsFinishedAndWhatWasNeverOurs) {
    const fs::path finished = place("finished"), foreign = place("foreign");
    makeFile(foreign);
    const auto finishAndStop = [&] {
        {
            const Unfinished mine(finished.string(), [&] { makeFile(finished); });
        }
        try {
            const Unfinished refused(foreign.string(), [] { throw std::runtime_error("exists"); });
        } catch (const std::runtime_error&) {
        }
        removeUnfinished();
        ::_exit(0);
    };
    EXPECT_EXIT(finishAndStop(), testing::ExitedWithCode(0), "");
    EXPECT_TRUE(fs::exists(finished));
    EXPECT_TRUE(fs::exists(foreign));
    fs::remove(finished);
    fs::remove(foreign);
}

}  // namespace
}  // namespace volvelle
