#include "Run/InventedRun.h"
#include "Run/Seal.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstring>

namespace volvelle {
namespace {

using ::testing::AnyOf;
using ::testing::HasSubstr;

using Bytes = std::vector<std::byte>;

/// A small run, and what becomes of it when its bytes are changed.
class RunDamage : public ::testing::Test {
public:
    static const Bytes& sound() {
        static const Bytes bytes = [] {
            MemoryFiles files;
            testing::writeInvented(files, "run.h5", testing::inventedRun());
            return files.bytes("run.h5");
        }();
        return bytes;
    }

    static Seal seal() {
        MemoryFiles files;
        files.put("run.h5", sound());
        return readSeal(*files.openForReading("run.h5"), "run.h5");
    }

    /// The names of the pieces that are not intact, or the error's text.
    static std::vector<std::string> verify(const Bytes& bytes) {
        MemoryFiles files;
        files.put("run.h5", bytes);
        return verify(files);
    }

    static std::vector<std::string> verify(Files& files) {
        std::vector<std::string> found;
        try {
            for (const PieceReport& piece : verifyRun("run.h5", files))
                if (!piece.intact) found.push_back(piece.name);
        } catch (const Error& error) {
            found.push_back(error.what());
        }
        return found;
    }

    /// The error of opening it and reading all of it.
    static std::string read(const Bytes& bytes, ErrorKind& kind) {
        MemoryFiles files;
        files.put("run.h5", bytes);
        return read(files, kind);
    }

    static std::string read(Files& files, ErrorKind& kind) {
        try {
            const SealedRun run("run.h5", files);
            for (std::size_t d = 0; d < run.record().drives.size(); ++d) {
                const DriveRecord& drive = run.record().drives[d];
                std::vector<float> samples(drive.samplesPerChannel *
                                           (drive.channelRoles.empty() ? 2 : drive.channelRoles.size()));
                for (std::size_t c = 0; c < drive.captures.size(); ++c) run.readCapture(d, c, samples);
            }
        } catch (const Error& error) {
            kind = error.kind();
            return error.what();
        }
        return "";
    }
};

/// Nothing is computed of the tables of time, so that only `verify` reads them.
bool isTime(const SealEntry& entry) {
    return entry.name.ends_with("time");
}

TEST_F(RunDamage, ASoundRunIsFoundSoundAndItsPiecesTileTheFile) {
    MemoryFiles files;
    files.put("run.h5", sound());
    std::size_t at = 0;
    for (const PieceReport& piece : verifyRun("run.h5", files)) {
        EXPECT_TRUE(piece.intact) << piece.name;
        EXPECT_EQ(piece.offset, at) << piece.name;
        at += piece.length;
    }
    EXPECT_EQ(at, sound().size());
}

/// Changes bytes of a run one at a time and holds what is said of each.
class ByteChanger {
public:
    explicit ByteChanger(const RunRecord& run) {
        testing::writeInvented(files_, "run.h5", run);
        file_ = files_.openForReading("run.h5");
        seal_ = readSeal(*file_, "run.h5");
    }

    std::size_t size() const { return seal_.fileLength; }
    std::size_t userBlock() const { return seal_.userBlock; }

    void changeEach(std::size_t begin, std::size_t end, std::size_t step) {
        for (std::size_t at = begin; at < end && !::testing::Test::HasFatalFailure(); at += step) {
            // All the bits in turn.
            flip(at, std::byte(1U << (at % 8)));
            holdVerify(at);
            holdRead(at);
            flip(at, std::byte(1U << (at % 8)));
        }
    }

private:
    void flip(std::size_t at, std::byte bit) {
        std::byte value[1];
        file_->readAt(at, value);
        value[0] ^= bit;
        file_->writeAt(at, value);
    }

    /// What the byte belongs to.
    const SealEntry* entryAt(std::size_t at) const {
        const auto found = std::find_if(seal_.entries.begin(), seal_.entries.end(),
                                        [&](const SealEntry& e) { return at < e.end(); });
        return at < seal_.userBlock || found == seal_.entries.end() ? nullptr : &*found;
    }

    void holdVerify(std::size_t at) {
        const auto found = RunDamage::verify(files_);
        ASSERT_EQ(found.size(), 1U) << at;
        if (at < seal_.length) {
            ASSERT_THAT(found[0], HasSubstr("changed")) << at;
        } else if (at < seal_.userBlock) {
            ASSERT_EQ(found[0], "padding of the seal");
        } else {
            ASSERT_THAT(found[0], HasSubstr(entryAt(at)->name)) << at;
        }
    }

    void holdRead(std::size_t at) {
        auto kind = ErrorKind::bug;
        const std::string refusal = RunDamage::read(files_, kind);
        const bool onlyVerifyReads = entryAt(at) != nullptr && isTime(*entryAt(at));
        ASSERT_EQ(refusal.empty(), onlyVerifyReads) << at << " " << refusal;
        if (!onlyVerifyReads) {
            ASSERT_EQ(kind, ErrorKind::damaged) << at << " " << refusal;
        }
    }

    MemoryFiles files_;
    std::unique_ptr<OpenFile> file_;
    Seal seal_;
};

// Under a sanitizer everything takes ten times as long, and the release build has tried every byte.
#ifdef __SANITIZE_ADDRESS__
constexpr std::size_t everyByte = 11;
#else
constexpr std::size_t everyByte = 1;
#endif

TEST_F(RunDamage, EveryChangedByteOfASmallRunIsFoundNamedAndRefused) {
    ByteChanger changer(testing::plainRun(2, 1, 8));
    changer.changeEach(0, changer.size(), everyByte);
}

TEST_F(RunDamage, ChangedBytesOfARunOfAllFormsAreFoundNamedAndRefused) {
    ByteChanger changer(testing::inventedRun());
    changer.changeEach(0, changer.userBlock(), 5);
    changer.changeEach(changer.userBlock(), changer.size(), 23);
}

TEST_F(RunDamage, ADamagedCaptureIsNamedAndTheOthersAreRead) {
    const Seal sealed = seal();
    const auto entry = std::find_if(sealed.entries.begin(), sealed.entries.end(),
                                    [](const SealEntry& e) { return e.name == "drives/front/samples"; });
    ASSERT_NE(entry, sealed.entries.end());
    Bytes bytes = sound();
    bytes[entry->rowOffset(1) + 17] ^= std::byte{4};
    EXPECT_EQ(verify(bytes),
              std::vector<std::string>{"drives/front/samples, capture 2 (front/horizontal:10/1)"});
    MemoryFiles files;
    files.put("run.h5", bytes);
    const SealedRun run("run.h5", files);
    std::vector<float> samples(300);
    run.readCapture(0, 0, samples);
    run.readCapture(0, 2, samples);
    try {
        run.readCapture(0, 1, samples);
        FAIL() << "the damage was not found";
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::damaged);
        EXPECT_THAT(error.what(), HasSubstr("capture 2 (front/horizontal:10/1)"));
    }
}

TEST_F(RunDamage, ACutIsFoundAtEveryLength) {
    MemoryFiles files;
    testing::writeInvented(files, "run.h5", testing::plainRun(2, 1, 8));
    Bytes cut = files.bytes("run.h5");
    while (!cut.empty()) {
        cut.pop_back();
        const std::size_t length = cut.size();
        ASSERT_FALSE(verify(cut).empty()) << length;
        auto kind = ErrorKind::bug;
        const std::string refusal = read(cut, kind);
        ASSERT_EQ(kind, ErrorKind::damaged) << length << " " << refusal;
        ASSERT_THAT(refusal, HasSubstr("cut")) << length;
    }
}

TEST_F(RunDamage, AddedBytesAreFound) {
    for (const std::size_t added : {1, 512, 100000}) {
        for (const std::byte value : {std::byte{0}, std::byte{255}}) {
            Bytes bytes = sound();
            bytes.resize(bytes.size() + added, value);
            EXPECT_EQ(verify(bytes), std::vector<std::string>{"bytes after the end"});
            auto kind = ErrorKind::bug;
            EXPECT_THAT(read(bytes, kind), HasSubstr("too many"));
            EXPECT_EQ(kind, ErrorKind::damaged);
        }
    }
    Bytes inserted = sound();
    inserted.insert(inserted.begin() + 5000, std::byte{0});
    EXPECT_FALSE(verify(inserted).empty());
}

TEST_F(RunDamage, SwappedRowsAreFound) {
    const Seal sealed = seal();
    const auto entry = std::find_if(sealed.entries.begin(), sealed.entries.end(),
                                    [](const SealEntry& e) { return e.name == "drives/front/samples"; });
    Bytes bytes = sound();
    const auto row = bytes.begin() + static_cast<std::ptrdiff_t>(entry->offset);
    const auto length = static_cast<std::ptrdiff_t>(entry->rowLength);
    std::swap_ranges(row, row + length, row + length);
    EXPECT_EQ(verify(bytes).size(), 2U);
}

TEST_F(RunDamage, AnOverwrittenBeginningIsDamageNotAnotherKindOfFile) {
    Bytes bytes = sound();
    std::fill_n(bytes.begin(), 16, std::byte{0});
    auto kind = ErrorKind::bug;
    EXPECT_THAT(read(bytes, kind), HasSubstr("changed in the first bytes"));
    EXPECT_EQ(kind, ErrorKind::damaged);
}

TEST_F(RunDamage, WhatIsNotARunIsCalledThat) {
    const std::string others[] = {"x", "RIFF and so on", "\x89HDF\r\n\x1a\n" + std::string(5000, '\0'),
                                  std::string(100000, ' '), "volvelle run, but in other letters, and longer"};
    for (const std::string& text : others) {
        Bytes bytes(text.size());
        std::memcpy(bytes.data(), text.data(), text.size());
        auto kind = ErrorKind::bug;
        EXPECT_THAT(read(bytes, kind), HasSubstr("is not a run file")) << text.substr(0, 20);
        EXPECT_EQ(kind, ErrorKind::input);
        EXPECT_THAT(verify(bytes), ::testing::ElementsAre(HasSubstr("is not a run file")));
    }
}

TEST_F(RunDamage, ANewerFormatIsCalledThatAndAChangedVersionIsDamage) {
    Seal newer = seal();
    newer.version = runFormatVersion + 1;
    const Bytes block = sealAsBytes(newer);
    Bytes bytes = sound();
    std::copy(block.begin(), block.end(), bytes.begin());
    auto kind = ErrorKind::bug;
    EXPECT_THAT(read(bytes, kind), HasSubstr("made by a newer version of the program (run format 3"));
    EXPECT_EQ(kind, ErrorKind::input);
    bytes = sound();
    bytes[16] = std::byte{runFormatVersion + 1};
    EXPECT_THAT(read(bytes, kind), HasSubstr("changed within its seal"));
    EXPECT_EQ(kind, ErrorKind::damaged);
}

TEST_F(RunDamage, ASealThatDescribesAnotherFileIsRefused) {
    const auto refusalOf = [](auto change) {
        Seal other = seal();
        change(other);
        Bytes bytes = sound();
        const Bytes block = sealAsBytes(other);
        std::copy(block.begin(), block.end(), bytes.begin());
        auto kind = ErrorKind::bug;
        const std::string refusal = read(bytes, kind);
        EXPECT_EQ(kind, ErrorKind::damaged) << refusal;
        return refusal;
    };
    const auto samplesOf = [](Seal& s) -> SealEntry& {
        return *std::find_if(s.entries.begin(), s.entries.end(),
                             [](const SealEntry& e) { return e.name == "drives/front/samples"; });
    };
    EXPECT_THAT(refusalOf([&](Seal& s) { samplesOf(s).name = "drives/rear/samples"; }),
                HasSubstr("not where the seal says"));
    EXPECT_THAT(refusalOf([&](Seal& s) { samplesOf(s).kind = SealEntry::Kind::structure; }),
                AnyOf(HasSubstr("does not describe"), HasSubstr("digest")));
    EXPECT_THAT(refusalOf([&](Seal& s) { s.entries[0].kind = SealEntry::Kind::samples; }), HasSubstr("HDF5"));
    EXPECT_THAT(refusalOf([&](Seal& s) { s.version = 0; }), HasSubstr("does not describe"));
}

TEST_F(RunDamage, AMissingRunIsAnInputError) {
    MemoryFiles files;
    try {
        const SealedRun run("none.h5", files);
        FAIL();
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::input);
    }
}

}  // namespace
}  // namespace volvelle
