#include "Ingest/Recording.h"
#include "Ingest/SoundFiles.h"
#include "Run/MemoryFiles.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sndfile.h>
#include <sys/stat.h>

#include <cmath>
#include <limits>

namespace volvelle::test {

namespace {

using testing::HasSubstr;

constexpr std::size_t frames = 3001;

std::vector<std::int32_t> integers(int bits, std::uint32_t seed) {
    std::vector<std::int32_t> out(frames);
    for (auto& value : out) {
        seed = seed * 1664525U + 1013904223U;
        value = static_cast<std::int32_t>(seed & ~((std::uint64_t{1} << (32 - bits)) - 1));
    }
    out[0] = std::numeric_limits<std::int32_t>::min();
    out[1] = std::numeric_limits<std::int32_t>::max() &
             static_cast<std::int32_t>(~((std::uint64_t{1} << (32 - bits)) - 1));
    return out;
}

RecordingReader reader(const std::string& path) {
    return openRecording(path, diskFiles(), path);
}

Error refusal(const std::string& path) {
    return errorOf([&] {
        RecordingReader r = reader(path);
        std::vector<float> out(r.format().frames);
        const int channel = 1;
        r.read(std::span(&channel, 1), std::span(out));
    });
}

class Recording : public testing::Test {
protected:
    TemporaryFolder folder;
    std::string file = folder.path("a.wav");
};

struct IntegerCase {
    const char* name;
    int format, bits, rate;
};

class IntegersRoundTrip : public testing::TestWithParam<IntegerCase> {};

TEST_P(IntegersRoundTrip, bitForBitInTwoChannels) {
    const TemporaryFolder folder;
    const auto& c = GetParam();
    const auto first = integers(c.bits, 1), second = integers(c.bits, 2);
    writeSound(folder.path("x"), c.format, c.rate, {first, second});
    RecordingReader r = reader(folder.path("x"));
    EXPECT_EQ(r.format().container, c.name);
    EXPECT_EQ(r.format().sampleRateHz, c.rate);
    EXPECT_EQ(r.format().channels, 2);
    EXPECT_EQ(r.format().frames, frames);
    EXPECT_EQ(r.format().bitsPerSample, c.bits);
    EXPECT_FALSE(r.format().isFloat);
    std::vector<std::int32_t> out(2 * frames);
    const std::vector<int> swapped{2, 1};
    r.read(swapped, std::span(out));
    EXPECT_TRUE(std::equal(second.begin(), second.end(), out.begin()));
    EXPECT_TRUE(std::equal(first.begin(), first.end(), out.begin() + frames));
}

INSTANTIATE_TEST_SUITE_P(Formats, IntegersRoundTrip,
                         testing::Values(IntegerCase{"WAV", SF_FORMAT_WAV | SF_FORMAT_PCM_16, 16, 44100},
                                         IntegerCase{"WAV", SF_FORMAT_WAV | SF_FORMAT_PCM_24, 24, 48000},
                                         IntegerCase{"WAV", SF_FORMAT_WAV | SF_FORMAT_PCM_32, 32, 88200},
                                         IntegerCase{"WAV", SF_FORMAT_WAVEX | SF_FORMAT_PCM_24, 24, 96000},
                                         IntegerCase{"WAV", SF_FORMAT_WAV | SF_FORMAT_PCM_24 | SF_ENDIAN_BIG,
                                                     24, 96000},
                                         IntegerCase{"RF64", SF_FORMAT_RF64 | SF_FORMAT_PCM_16, 16, 176400},
                                         IntegerCase{"RF64", SF_FORMAT_RF64 | SF_FORMAT_PCM_24, 24, 192000},
                                         IntegerCase{"RF64", SF_FORMAT_RF64 | SF_FORMAT_PCM_32, 32, 48000},
                                         IntegerCase{"FLAC", SF_FORMAT_FLAC | SF_FORMAT_PCM_16, 16, 44100},
                                         IntegerCase{"FLAC", SF_FORMAT_FLAC | SF_FORMAT_PCM_24, 24, 192000},
                                         IntegerCase{"AIFF", SF_FORMAT_AIFF | SF_FORMAT_PCM_24, 24, 48000},
                                         IntegerCase{"W64", SF_FORMAT_W64 | SF_FORMAT_PCM_24, 24, 48000},
                                         IntegerCase{"CAF", SF_FORMAT_CAF | SF_FORMAT_PCM_24, 24, 48000},
                                         IntegerCase{"AU", SF_FORMAT_AU | SF_FORMAT_PCM_24, 24, 48000}));

class FloatsRoundTrip : public testing::TestWithParam<IntegerCase> {};

TEST_P(FloatsRoundTrip, bitForBitAlsoBeyondFullScale) {
    const TemporaryFolder folder;
    const auto& c = GetParam();
    std::vector<double> samples = noise(frames, 3);
    for (double& sample : samples) sample = static_cast<double>(static_cast<float>(sample));
    samples[7] = 1.5;
    samples[8] = -0x1p-140;  // a denormal float
    writeSound(folder.path("x"), c.format, c.rate, Channels{samples});
    RecordingReader r = reader(folder.path("x"));
    EXPECT_TRUE(r.format().isFloat);
    EXPECT_EQ(r.format().bitsPerSample, c.bits);
    std::vector<float> out(frames);
    const int channel = 1;
    r.read(std::span(&channel, 1), std::span(out));
    for (std::size_t i = 0; i < frames; ++i) ASSERT_EQ(static_cast<double>(out[i]), samples[i]) << i;
}

INSTANTIATE_TEST_SUITE_P(Formats, FloatsRoundTrip,
                         testing::Values(IntegerCase{"", SF_FORMAT_WAV | SF_FORMAT_FLOAT, 32, 44100},
                                         IntegerCase{"", SF_FORMAT_WAV | SF_FORMAT_DOUBLE, 64, 192000},
                                         IntegerCase{"", SF_FORMAT_RF64 | SF_FORMAT_FLOAT, 32, 96000},
                                         IntegerCase{"", SF_FORMAT_RF64 | SF_FORMAT_DOUBLE, 64, 48000},
                                         IntegerCase{"", SF_FORMAT_CAF | SF_FORMAT_FLOAT, 32, 48000}));

// The bytes are laid out here by hand, after Multimedia Programming Interface and Data Specifications 1.0
// (IBM & Microsoft, 1991): what is read does not only agree with what the same library wrote.
TEST_F(Recording, aHandMadeWavFileIsReadAsItsStandardSays) {
    using namespace std::string_literals;
    writeBytes(file,
               "RIFF\x36\0\0\0WAVE"s
               "fmt \x10\0\0\0\x01\0\x01\0\x80\xBB\0\0\x80\x32\x02\0\x03\0\x18\0"s
               "junk\x01\0\0\0x\0"s
               "data\x09\0\0\0\x01\0\0\xFF\xFF\xFF\0\0\x80"s);
    RecordingReader r = reader(file);
    EXPECT_EQ(r.format().sampleRateHz, 48000);
    ASSERT_EQ(r.format().frames, 3U);
    std::vector<std::int32_t> out(3);
    const int channel = 1;
    r.read(std::span(&channel, 1), std::span(out));
    EXPECT_THAT(out, testing::ElementsAre(1 << 8, -(1 << 8), std::numeric_limits<std::int32_t>::min()));
}

TEST_F(Recording, integersOf24BitAreExactAsFloats) {
    const auto values = integers(24, 5);
    writeSound(file, SF_FORMAT_WAV | SF_FORMAT_PCM_24, 48000, {values});
    RecordingReader r = reader(file);
    std::vector<float> out(frames);
    const int channel = 1;
    r.read(std::span(&channel, 1), std::span(out));
    for (std::size_t i = 0; i < frames; ++i) ASSERT_EQ(static_cast<double>(out[i]) * 0x1p31, values[i]);
    EXPECT_EQ(out[0], -1.0F);
}

TEST_F(Recording, manyChannelsAreReadInPieces) {
    std::vector<std::vector<std::int32_t>> channels;
    for (std::uint32_t c = 0; c < 40; ++c) channels.push_back(integers(16, c));
    writeSound(file, SF_FORMAT_WAV | SF_FORMAT_PCM_16, 48000, channels);
    RecordingReader r = reader(file);
    std::vector<std::int32_t> out(frames);
    const int channel = 40;
    r.read(std::span(&channel, 1), std::span(out));
    EXPECT_EQ(out, channels[39]);
}

struct CutCase {
    const char* name;
    int format;
};

class CutFiles : public testing::TestWithParam<CutCase> {};

TEST_P(CutFiles, areRefusedAtEveryLength) {
    const TemporaryFolder folder;
    writeSound(folder.path("whole"), GetParam().format, 48000, Channels{noise(2000, 1), noise(2000, 2)});
    const std::string whole = readBytes(folder.path("whole"));
    const std::string file = folder.path("recordings/cut");
    std::vector<std::size_t> lengths{
        1, 3, 4, 11, 12, 20, 40, 43, 44, 60, 100, whole.size() / 2, whole.size() - 300};
    for (const std::size_t length : lengths) {
        writeBytes(file, whole.substr(0, length));
        const Error error = refusal(file);
        EXPECT_EQ(error.kind(), ErrorKind::input) << length;
        EXPECT_EQ(error.where(), file) << length;
        EXPECT_FALSE(error.advice().empty()) << length;
        if (length >= whole.size() / 2) {
            EXPECT_THAT(error.problem(), HasSubstr("is cut")) << length;
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Formats, CutFiles,
                         testing::Values(CutCase{"wav", SF_FORMAT_WAV | SF_FORMAT_PCM_24},
                                         CutCase{"rf64", SF_FORMAT_RF64 | SF_FORMAT_PCM_24},
                                         CutCase{"flac", SF_FORMAT_FLAC | SF_FORMAT_PCM_24},
                                         CutCase{"aiff", SF_FORMAT_AIFF | SF_FORMAT_PCM_24},
                                         CutCase{"w64", SF_FORMAT_W64 | SF_FORMAT_PCM_24},
                                         CutCase{"caf", SF_FORMAT_CAF | SF_FORMAT_PCM_24},
                                         CutCase{"au", SF_FORMAT_AU | SF_FORMAT_PCM_24},
                                         CutCase{"float", SF_FORMAT_WAV | SF_FORMAT_FLOAT}));

TEST_F(Recording, aWavFileThatLacksOneFrameIsCut) {
    writeSound(file, SF_FORMAT_WAV | SF_FORMAT_PCM_24, 48000, Channels{noise(1000, 1)});
    std::string bytes = readBytes(file);
    bytes.resize(bytes.size() - 3);
    writeBytes(file, bytes);
    EXPECT_THAT(refusal(file).problem(), HasSubstr("promises 3000 bytes of samples, 2997 are there"));
}

TEST_F(Recording, aWavFileWhoseRecorderNeverFinishedIsCut) {
    writeSound(file, SF_FORMAT_WAV | SF_FORMAT_PCM_16, 48000, Channels{noise(1000, 1)});
    std::string bytes = readBytes(file);
    for (std::size_t i = 40; i < 44; ++i) bytes[i] = 0;
    writeBytes(file, bytes);
    EXPECT_THAT(refusal(file).problem(), HasSubstr("never wrote its length"));
    for (std::size_t i = 40; i < 44; ++i) bytes[i] = '\xFF';
    writeBytes(file, bytes);
    EXPECT_THAT(refusal(file).problem(), HasSubstr("never wrote its length"));
}

TEST_F(Recording, aChunkAfterTheSamplesDoesNotMatter) {
    writeSound(file, SF_FORMAT_WAV | SF_FORMAT_PCM_16, 48000, Channels{noise(1000, 1)});
    writeBytes(file, readBytes(file) + std::string("LIST\xFF\x00\x00\x00 cut", 12));
    EXPECT_EQ(reader(file).format().frames, 1000U);
}

TEST_F(Recording, aChangedByteInFlacIsFoundByItsChecksum) {
    writeSound(file, SF_FORMAT_FLAC | SF_FORMAT_PCM_24, 48000, Channels{noise(20000, 1)});
    const std::string whole = readBytes(file);
    for (const std::size_t at : {whole.size() / 4, whole.size() / 2, whole.size() - 20}) {
        std::string changed = whole;
        changed[at] = static_cast<char>(changed[at] ^ 1);
        writeBytes(file, changed);
        EXPECT_THAT(refusal(file).problem(), HasSubstr("is cut or damaged: 20000 samples are promised"))
            << at;
    }
}

// The number of samples stands in the low 36 bits from byte 21 on (RFC 9639, section 8.2).
TEST_F(Recording, aFlacFileThatClaimsMoreThanItsBytesCanHoldTakesNoMemory) {
    writeSound(file, SF_FORMAT_FLAC | SF_FORMAT_PCM_16, 48000, Channels{noise(100, 1)});
    std::string bytes = readBytes(file);
    bytes.replace(21, 5, std::string("\xF0\x07\x00\x00\x00", 5));
    writeBytes(file, bytes);
    EXPECT_THAT(refusal(file).problem(), HasSubstr("cannot hold 117440512 samples"));
    bytes.replace(21, 5, std::string("\xFF\xFF\xFF\xFF\xFF", 5));
    writeBytes(file, bytes);
    EXPECT_THAT(refusal(file).problem(), HasSubstr("claims 68719476735 samples per channel"));
    bytes.replace(21, 5, std::string("\xF0\x00\x00\x00\x00", 5));  // not stated
    writeBytes(file, bytes);
    EXPECT_EQ(refusal(file).kind(), ErrorKind::input);
}

TEST_F(Recording, emptyRandomAndTextFilesAreRefused) {
    writeBytes(file, "");
    EXPECT_EQ(refusal(file).problem(), "is empty");
    std::string random;
    for (const double x : noise(5000, 9)) random += static_cast<char>(x * 250);
    for (const char* name : {"r.wav", "r.flac", "r.raw", "r.vox", "r.au", "r.mp3", "r.gsm"}) {
        writeBytes(folder.path(name), random);
        EXPECT_THAT(refusal(folder.path(name)).problem(), HasSubstr("no sound file")) << name;
    }
    writeBytes(file, "file,drive\n");
    EXPECT_THAT(refusal(file).problem(), HasSubstr("no sound file"));
    for (const char* magic : {"RIFF....WAVE", "RF64....WAVE", "fLaC", "FORM....AIFF", ".snd", "caff"}) {
        writeBytes(file, magic + random);
        EXPECT_EQ(refusal(file).kind(), ErrorKind::input) << magic;
    }
}

TEST_F(Recording, whatIsNoRegularFileIsRefused) {
    EXPECT_EQ(refusal(folder.path("nothing.wav")).problem(), "is missing");
    std::filesystem::create_directory(folder.path("dir.wav"));
    EXPECT_THAT(refusal(folder.path("dir.wav")).problem(), HasSubstr("folder"));
    ASSERT_EQ(::mkfifo(folder.path("pipe.wav").c_str(), 0600), 0);
    EXPECT_THAT(refusal(folder.path("pipe.wav")).problem(), HasSubstr("not a regular file"));
    EXPECT_THAT(refusal("/dev/zero").problem(), HasSubstr("not a regular file"));
}

TEST_F(Recording, lossyCompressedAndEightBitFormatsAreRefused) {
    for (const int format : {SF_FORMAT_WAV | SF_FORMAT_PCM_U8, SF_FORMAT_WAV | SF_FORMAT_ULAW,
                             SF_FORMAT_WAV | SF_FORMAT_MS_ADPCM, SF_FORMAT_FLAC | SF_FORMAT_PCM_S8,
                             SF_FORMAT_CAF | SF_FORMAT_ALAC_24}) {
        writeSound(file, format, 48000, Channels{noise(4096, 1)});
        EXPECT_THAT(refusal(file).problem(), HasSubstr("lossy, compressed or 8-bit")) << format;
    }
    writeSound(file, SF_FORMAT_OGG | SF_FORMAT_VORBIS, 48000, Channels{noise(4096, 1)});
    EXPECT_EQ(refusal(file).kind(), ErrorKind::input);
}

TEST_F(Recording, ratesOutsideTheRangeAreRefusedWithTheirNumber) {
    for (const int rate : {8000, 22050, 44099, 192001, 384000, 768000}) {
        writeSound(file, SF_FORMAT_WAV | SF_FORMAT_PCM_16, rate, Channels{noise(100, 1)});
        EXPECT_THAT(refusal(file).problem(), HasSubstr(std::to_string(rate) + " Hz")) << rate;
    }
}

TEST_F(Recording, notANumberAndInfinityAreNamedBySampleAndChannel) {
    for (const double bad : {std::nan(""), HUGE_VAL, -HUGE_VAL}) {
        auto samples = noise(70000, 1);
        samples[66001] = bad;
        writeSound(file, SF_FORMAT_WAV | SF_FORMAT_FLOAT, 48000, Channels{samples});
        EXPECT_THAT(refusal(file).problem(), HasSubstr("sample 66001 of channel 1")) << bad;
    }
    auto samples = noise(100, 1);
    samples[5] = 1e300;  // finite in double precision, not as a float
    writeSound(file, SF_FORMAT_WAV | SF_FORMAT_DOUBLE, 48000, Channels{samples});
    EXPECT_THAT(refusal(file).problem(), HasSubstr("sample 5 of channel 1"));
}

TEST_F(Recording, silenceIsRefusedWhateverItsLevel) {
    const std::vector<float> zeros(100, 0.0F), offset(100, 0.25F);
    for (const auto& samples : {zeros, offset}) {
        const Error error =
            errorOf([&] { requireSound(samples, "the microphone's channel", "a.wav (m.csv, line 2)"); });
        EXPECT_EQ(error.kind(), ErrorKind::input);
        EXPECT_THAT(error.problem(), HasSubstr("the microphone's channel is silent"));
        EXPECT_EQ(error.where(), "a.wav (m.csv, line 2)");
    }
    std::vector<float> single = zeros;
    single[99] = 0x1p-23F;
    EXPECT_NO_THROW(requireSound(single, "x", "y"));
}

TEST_F(Recording, aChannelThatIsNotThereIsNamed) {
    writeSound(file, SF_FORMAT_WAV | SF_FORMAT_PCM_16, 48000, Channels{noise(100, 1)});
    RecordingReader r = reader(file);
    std::vector<float> out(100);
    const int channel = 2;
    const Error error = errorOf([&] { r.read(std::span(&channel, 1), std::span(out)); });
    EXPECT_THAT(error.problem(), HasSubstr("has 1 channel, so channel 2"));
}

TEST_F(Recording, aDiskThatFailsIsNotTakenForAnEnd) {
    writeSound(file, SF_FORMAT_WAV | SF_FORMAT_PCM_16, 48000, Channels{noise(50000, 1)});
    const std::string bytes = readBytes(file);
    class Failing : public OpenFile {
    public:
        Failing(std::string content, std::uint64_t limit) : content_(std::move(content)), limit_(limit) {}
        std::uint64_t size() const override { return content_.size(); }
        void readAt(std::uint64_t offset, std::span<std::byte> out) const override {
            if (offset + out.size() > limit_)
                throw Error(ErrorKind::input, "cannot be read", "a.wav", "Check the disk");
            const auto from = std::as_bytes(std::span(content_)).subspan(offset, out.size());
            std::copy(from.begin(), from.end(), out.begin());
        }
        void writeAt(std::uint64_t, std::span<const std::byte>) override {}
        void sync() override {}
        void willRead(std::uint64_t, std::uint64_t) const override {}

    private:
        std::string content_;
        std::uint64_t limit_;
    };
    const Error error = errorOf([&] {
        RecordingReader r(std::make_unique<Failing>(bytes, 60000), "a.wav");
        std::vector<float> out(50000);
        const int channel = 1;
        r.read(std::span(&channel, 1), std::span(out));
    });
    EXPECT_EQ(error.problem(), "cannot be read");
}

}  // namespace

}  // namespace volvelle::test
