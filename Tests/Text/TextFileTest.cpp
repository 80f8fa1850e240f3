#include "Text/Error.h"
#include "Text/TextFile.h"

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <random>

namespace volvelle {
namespace {

namespace fs = std::filesystem;

class TextFile : public testing::Test {
protected:
    TextFile()
        : folder_(fs::temp_directory_path() / ("volvelle-text-" + std::to_string(std::random_device{}()))) {
        fs::create_directories(folder_);
    }
    ~TextFile() override { fs::remove_all(folder_); }

    std::string path(const std::string& name) const { return (folder_ / name).string(); }

    std::string put(const std::string& name, std::string_view bytes) const {
        std::ofstream(path(name), std::ios::binary) << bytes;
        return path(name);
    }

    /// The problem that reading or writing meets, with its kind checked.
    template <typename Act>
    static std::string problemOf(ErrorKind kind, Act act) {
        try {
            act();
        } catch (const Error& error) {
            EXPECT_EQ(error.kind(), kind);
            EXPECT_FALSE(error.advice().empty());
            return error.where() + ": " + error.problem();
        }
        return "no error";
    }
    static std::string refusal(const std::string& path, std::uint64_t most = largestTextFile) {
        return problemOf(ErrorKind::input, [&] { readTextFile(path, most); });
    }

    fs::path folder_;
};

TEST_F(TextFile, WhatIsWrittenIsRead) {
    const std::string text = "ä line\r\nand another\n";
    writeNewTextFile(path("a"), text);
    EXPECT_EQ(readTextFile(path("a")), text);
    EXPECT_EQ(readTextFile(put("empty", "")), "");
}

TEST_F(TextFile, ByteOrderMarkIsTakenOff) {
    EXPECT_EQ(readTextFile(put("a", "\xEF\xBB\xBFx")), "x");
}

TEST_F(TextFile, RefusalsSayWhatIsWrong) {
    EXPECT_EQ(refusal(path("none")), path("none") + ": there is no such file");
    EXPECT_EQ(refusal(folder_.string()), folder_.string() + ": is a folder, not a text file");
    EXPECT_EQ(refusal(put("large", "123456"), 5),
              path("large") + ": is larger than 5 bytes, too large for a text file of its kind");
    EXPECT_EQ(readTextFile(path("large"), 6), "123456");
    EXPECT_EQ(refusal("/dev/zero", 100000),
              "/dev/zero: is larger than 100000 bytes, too large for a text file of its kind");
    EXPECT_EQ(refusal(put("file", "x") + "/y").find("cannot be opened"), (path("file") + "/y: ").size());
}

TEST_F(TextFile, UnreadableIsRefused) {
    const std::string file = put("locked", "x");
    ::chmod(file.c_str(), 0);
    if (::geteuid() == 0) return;  // root reads everything
    EXPECT_NE(refusal(file).find("cannot be opened"), std::string::npos);
}

TEST_F(TextFile, OnlyUtf8IsText) {
    // Legal and illegal sequences of RFC 3629: lone and missing continuations, overlong forms, surrogates,
    // beyond U+10FFFF.
    for (const std::string_view text :
         {"\xC3\xA4", "\xE2\x82\xAC", "\xED\x9F\xBF", "\xF0\x9F\x8E\xB5", "\xF4\x8F\xBF\xBF"})
        EXPECT_NO_THROW(requireUtf8(text, "x"));
    for (const std::string_view text :
         {"\x80", "\xC3", "\xC3x", "\xC0\x80", "\xC1\xBF", "\xE0\x80\x80", "\xED\xA0\x80", "\xE2\x82",
          "\xF0\x80\x80\x80", "\xF4\x90\x80\x80", "\xF5\x80\x80\x80", "\xFF"})
        EXPECT_THROW(requireUtf8(text, "x"), Error);
    EXPECT_EQ(refusal(put("latin",
                          "a\nb\n\xFC"
                          "ber")),
              path("latin") + ", line 3: is not UTF-8 text");
    EXPECT_EQ(refusal(put("nul", std::string_view("a\0b", 3))), path("nul") + ", line 1: is not UTF-8 text");
}

TEST_F(TextFile, NothingIsReplaced) {
    put("a", "old");
    EXPECT_EQ(problemOf(ErrorKind::output, [&] { writeNewTextFile(path("a"), "new"); }),
              path("a") + ": exists already");
    EXPECT_EQ(readTextFile(path("a")), "old");
}

TEST_F(TextFile, WhatCannotBeMadeIsSaid) {
    EXPECT_NE(problemOf(ErrorKind::output, [&] { writeNewTextFile(path("no/such/folder"), "x"); })
                  .find("cannot be made"),
              std::string::npos);
}

}  // namespace
}  // namespace volvelle
