#include "Run/Hdf5.h"

#include <fcntl.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <string>

namespace volvelle {
namespace {

/// Watches standard error during every test of this program: one in which HDF5 prints its error stack fails.
class SilenceListener final : public ::testing::EmptyTestEventListener {
    void OnTestStart(const ::testing::TestInfo&) override {
        char name[] = "/tmp/volvelle-silence-XXXXXX";
        watched_ = ::mkstemp(name);
        ::unlink(name);
        original_ = ::dup(STDERR_FILENO);
        ::dup2(watched_, STDERR_FILENO);
    }

    void OnTestEnd(const ::testing::TestInfo&) override {
        ::dup2(original_, STDERR_FILENO);
        ::close(original_);
        std::string text(static_cast<std::size_t>(::lseek(watched_, 0, SEEK_END)), '\0');
        const ssize_t got = ::pread(watched_, text.data(), text.size(), 0);
        ::close(watched_);
        if (got > 0 && ::write(STDERR_FILENO, text.data(), text.size()) < 0) return;
        EXPECT_EQ(text.find("HDF5-DIAG"), std::string::npos) << "HDF5 printed its error stack:\n" << text;
    }

    int watched_ = -1, original_ = -1;
};

// The listeners own it.
const bool listening = [] {
    ::testing::UnitTest::GetInstance()->listeners().Append(new SilenceListener);
    return true;
}();

TEST(Hdf5, FailuresBecomeErrorsAndNothingIsPrinted) {
    ScatteredBytes bytes;
    EXPECT_THROW(Hdf5File::open(bytes, "empty"), Error);
    Hdf5File file = Hdf5File::create(bytes, 4096, "made");
    file.root().writeNumber("one", 1.5, "m");
    EXPECT_THROW(file.root().writeNumber("one", 2, "m"), Error);
    EXPECT_THROW(file.root().texts("one"), Error);
    EXPECT_THROW(file.root().numbers("two"), Error);
    EXPECT_THROW(file.root().attributeText("none"), Error);
    EXPECT_THROW(file.root().openGroup("one"), Error);
    EXPECT_EQ(file.root().number("one"), 1.5);
    file.close();
    EXPECT_TRUE(listening);
}

TEST(Hdf5, OnlyCheckedBytesAreParsed) {
    ScatteredBytes written;
    Hdf5File file = Hdf5File::create(written, 4096, "made");
    const Hdf5Extent extent = file.root().reserve("samples", Hdf5Number::int32, {4, 50000}, "1");
    file.root().writeNumber("one", 1.5, "m");
    file.close();
    const std::uint64_t end = extent.offset + 4 * 4 * 50000;
    EXPECT_EQ(extent.offset % 4096, 0U);
    CheckedBytes checked(4096, written.length);
    std::vector<std::byte> before(extent.offset - 4096);
    written.read(4096, before);
    checked.add(4096, before);
    std::vector<std::byte> behind(written.length - end);
    written.read(end, behind);
    checked.add(end, behind);
    const Hdf5File opened = Hdf5File::open(checked, "checked");
    EXPECT_EQ(opened.root().number("one"), 1.5);
    EXPECT_EQ(opened.root().extent("samples").offset, extent.offset);
    EXPECT_THROW(opened.root().integers("samples"), Error);
}

TEST(Hdf5, TextsKeepTheirBytesAndEmptyOnesAreNotStated) {
    ScatteredBytes bytes;
    Hdf5File file = Hdf5File::create(bytes, 4096, "made");
    const std::vector<std::string> texts{"", "20 \xC2\xB5Pa", std::string(5000, 'x'), " "};
    file.root().writeTexts("texts", texts);
    file.root().writeText("text", "");
    EXPECT_EQ(file.root().texts("texts"), texts);
    EXPECT_EQ(file.root().text("text"), "");
}

}  // namespace
}  // namespace volvelle
