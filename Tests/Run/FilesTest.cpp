#include "Run/FaultyFiles.h"
#include "Run/Files.h"
#include "Run/InventedRun.h"
#include "Run/MemoryFiles.h"
#include "Run/Seal.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <csignal>
#include <cstdlib>
#include <filesystem>
#include <functional>

namespace volvelle {
namespace {

using ::testing::HasSubstr;
namespace fs = std::filesystem;

/// A folder that is removed afterwards.
class Folder {
public:
    Folder() {
        std::string name = (fs::temp_directory_path() / "volvelle-files-XXXXXX").string();
        path = ::mkdtemp(name.data());
    }
    ~Folder() {
        fs::permissions(path, fs::perms::owner_all);
        fs::remove_all(path);
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    std::string operator/(const std::string& name) const { return (path / name).string(); }
    std::size_t count() const {
        return static_cast<std::size_t>(
            std::distance(fs::directory_iterator(path), fs::directory_iterator()));
    }
    fs::path path;
};

Error errorOf(const std::function<void()>& act) {
    try {
        act();
    } catch (const Error& error) {
        return error;
    }
    ADD_FAILURE() << "nothing was thrown";
    return {ErrorKind::bug, "", "", ""};
}

std::vector<std::byte> bytes(std::initializer_list<int> values) {
    std::vector<std::byte> all;
    for (const int v : values) all.push_back(static_cast<std::byte>(v));
    return all;
}

/// The laws that every kind of Files obeys.
void obeysTheLaws(Files& files, const std::string& a, const std::string& b) {
    EXPECT_FALSE(files.exists(a));
    {
        const auto file = files.create(a);
        file->writeAt(2, bytes({3, 4, 5}));
        file->writeAt(0, bytes({1, 2}));
        file->sync();
        EXPECT_EQ(file->size(), 5U);
        std::vector<std::byte> out(3);
        file->readAt(1, out);
        EXPECT_EQ(out, bytes({2, 3, 4}));
        EXPECT_EQ(errorOf([&] { file->readAt(3, out); }).kind(), ErrorKind::input);
        EXPECT_EQ(errorOf([&] { file->readAt(99, out); }).kind(), ErrorKind::input);
        file->willRead(0, 5);
    }
    EXPECT_EQ(errorOf([&] { files.create(a); }).kind(), ErrorKind::output);
    files.create(b)->writeAt(0, bytes({9}));
    EXPECT_EQ(errorOf([&] { files.rename(a, b); }).kind(), ErrorKind::output);
    EXPECT_EQ(files.openForReading(b)->size(), 1U);
    files.remove(b);
    files.rename(a, b);
    files.syncFolderOf(b);
    EXPECT_TRUE(files.exists(b));
    EXPECT_FALSE(files.exists(a));
    EXPECT_EQ(files.openForReading(b)->size(), 5U);
    EXPECT_EQ(errorOf([&] { files.openForReading(a); }).kind(), ErrorKind::input);
    EXPECT_EQ(errorOf([&] { files.remove(a); }).kind(), ErrorKind::output);
}

TEST(Files, DiskMemoryAndFaultlessFaultyFilesObeyTheSameLaws) {
    const Folder folder;
    obeysTheLaws(diskFiles(), folder / "a", folder / "b");
    MemoryFiles memory;
    obeysTheLaws(memory, "folder/a", "folder/b");
    MemoryFiles inner;
    FaultyFiles faulty(inner, Fault::fail, 0);
    obeysTheLaws(faulty, "folder/a", "folder/b");
}

TEST(Files, FoldersPipesAndPathsThroughFilesAreRefused) {
    const Folder folder;
    EXPECT_THAT(errorOf([&] { diskFiles().openForReading(folder / ""); }).what(), HasSubstr("is a folder"));
    ASSERT_EQ(::mkfifo((folder / "pipe").c_str(), 0600), 0);
    EXPECT_THAT(errorOf([&] { diskFiles().openForReading(folder / "pipe"); }).what(),
                HasSubstr("no ordinary file"));
    EXPECT_EQ(errorOf([&] { diskFiles().create(folder / "none/run.h5"); }).kind(), ErrorKind::output);
    EXPECT_EQ(errorOf([&] { diskFiles().openForReading(folder / "pipe/run.h5"); }).kind(), ErrorKind::input);
}

TEST(Files, ADanglingLinkCountsAsThere) {
    const Folder folder;
    fs::create_symlink("nowhere", folder / "link");
    EXPECT_TRUE(diskFiles().exists(folder / "link"));
}

TEST(Files, ADiskThatTakesNoMoreLeavesTheFolderAsItWas) {
    // The system's limit for the length of a file stands in for a full disk.
    const Folder folder;
    rlimit before{};
    ASSERT_EQ(::getrlimit(RLIMIT_FSIZE, &before), 0);
    const auto handler = std::signal(SIGXFSZ, SIG_IGN);
    const rlimit small{20000, before.rlim_max};
    ASSERT_EQ(::setrlimit(RLIMIT_FSIZE, &small), 0);
    const Error error =
        errorOf([&] { testing::writeInvented(diskFiles(), folder / "run.h5", testing::inventedRun()); });
    ::setrlimit(RLIMIT_FSIZE, &before);
    std::signal(SIGXFSZ, handler);
    EXPECT_EQ(error.kind(), ErrorKind::output);
    EXPECT_THAT(error.what(), HasSubstr("cannot be written"));
    EXPECT_EQ(folder.count(), 0U);
}

TEST(Files, ARunOnDiskIsWholeAndAloneInItsFolder) {
    const Folder folder;
    testing::writeInvented(diskFiles(), folder / "run.h5", testing::inventedRun());
    EXPECT_EQ(folder.count(), 1U);
    const SealedRun run(folder / "run.h5", diskFiles());
    EXPECT_EQ(testing::firstDifference(testing::inventedRun(), run.record()), "");
    run.readAhead(0);
    for (const PieceReport& piece : verifyRun(folder / "run.h5", diskFiles())) EXPECT_TRUE(piece.intact);
    EXPECT_EQ(errorOf([&] {
                  testing::writeInvented(diskFiles(), folder / "run.h5", testing::inventedRun());
              }).kind(),
              ErrorKind::output);
    EXPECT_EQ(folder.count(), 1U);
}

TEST(Files, AFolderThatMayNotBeWrittenIsAnOutputError) {
    if (::geteuid() == 0) GTEST_SKIP() << "root may write everywhere";
    const Folder folder;
    fs::permissions(folder.path, fs::perms::owner_read | fs::perms::owner_exec);
    EXPECT_EQ(errorOf([&] {
                  testing::writeInvented(diskFiles(), folder / "run.h5", testing::inventedRun());
              }).kind(),
              ErrorKind::output);
}

TEST(Sha256, AgreesWithThePublishedExamples) {
    // FIPS 180-4 examples (NIST, "SHA256.pdf"): "abc" and the 448-bit message.
    const auto digest = [](const std::string& text) {
        return hexadecimal(sha256(std::as_bytes(std::span(text))));
    };
    EXPECT_EQ(digest("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    EXPECT_EQ(digest("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
              "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    EXPECT_EQ(digest(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    Sha256 parts;
    const std::string a = "a", bc = "bc";
    parts.add(std::as_bytes(std::span(a)));
    parts.add(std::as_bytes(std::span(bc)));
    EXPECT_EQ(hexadecimal(parts.finish()), digest("abc"));
    EXPECT_EQ(hexadecimal(parts.finish()), digest(""));
}

TEST(Seal, TheUserBlockIsTheSmallestPowerOfTwoThatHoldsIt) {
    std::vector<SealEntry> entries(1);
    entries[0].rows.resize(1);
    EXPECT_EQ(userBlockFor(entries), 4096U);
    entries[0].rows.resize(7566);  // three drives of the densest angle set: 242 kB of digests
    EXPECT_EQ(userBlockFor(entries), 262144U);
}

}  // namespace
}  // namespace volvelle
