#include "Run/InventedRun.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <thread>

namespace volvelle {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;
using testing::inventedFloat;
using testing::inventedRun;
using testing::inventedSample;
using ::testing::MatchesRegex;
using testing::plainRun;
using testing::writeInvented;

template <typename Act>
Error errorOf(Act act) {
    try {
        act();
    } catch (const Error& error) {
        return error;
    }
    ADD_FAILURE() << "nothing was thrown";
    return {ErrorKind::bug, "", "", ""};
}

TEST(RunFile, WhatIsWrittenIsReadBackEqual) {
    MemoryFiles files;
    writeInvented(files, "run.h5", inventedRun());
    const SealedRun run("run.h5", files);
    EXPECT_EQ(testing::firstDifference(inventedRun(), run.record()), "");
    EXPECT_EQ(files.names(), std::vector<std::string>{"run.h5"});
}

TEST(RunFile, ARunInWhichNothingIsStatedIsReadBackEqual) {
    MemoryFiles files;
    RunRecord bare = plainRun(1, 1, 1);
    bare.drives[0].captures[0] = Capture();
    bare.drives[0].excitation = {};
    writeInvented(files, "run.h5", bare);
    EXPECT_EQ(testing::firstDifference(bare, SealedRun("run.h5", files).record()), "");
}

TEST(RunFile, APlanDocumentComesBackWithThePlan) {
    MemoryFiles files;
    RunRecord run = plainRun(1, 1, 8);
    run.plan = parsePlan(planAsJson(inventedRun().plan), "plan.json");
    ASSERT_NE(run.plan.text, "");
    writeInvented(files, "run.h5", run);
    EXPECT_EQ(testing::firstDifference(run, SealedRun("run.h5", files).record()), "");
}

TEST(RunFile, IntegerSamplesAreScaledToFullScaleOne) {
    MemoryFiles files;
    writeInvented(files, "run.h5", inventedRun());
    const SealedRun run("run.h5", files);
    std::vector<float> samples(2 * 150);
    for (std::size_t capture = 0; capture < 3; ++capture) {
        run.readCapture(0, capture, samples);
        for (std::size_t i = 0; i < samples.size(); ++i)
            ASSERT_EQ(samples[i], static_cast<float>(inventedSample(0, capture, i)) / 2147483648.0F) << i;
    }
}

TEST(RunFile, FloatSamplesAndTextResponsesComeBackAsTheyAre) {
    MemoryFiles files;
    writeInvented(files, "run.h5", inventedRun());
    const SealedRun run("run.h5", files);
    std::vector<float> impulse(128), text(6);
    run.readCapture(1, 0, impulse);
    for (std::size_t i = 0; i < impulse.size(); ++i) ASSERT_EQ(impulse[i], inventedFloat(1, 0, i));
    for (std::size_t capture = 0; capture < 2; ++capture) {
        run.readCapture(2, capture, text);
        for (std::size_t i = 0; i < text.size(); ++i) ASSERT_EQ(text[i], inventedFloat(2, capture, i));
    }
}

TEST(RunFile, TheSameRunGivesTheSameBytesAndFingerprint) {
    MemoryFiles files;
    writeInvented(files, "a.h5", inventedRun());
    writeInvented(files, "b.h5", inventedRun());
    EXPECT_EQ(files.bytes("a.h5"), files.bytes("b.h5"));
    const std::string fingerprint = SealedRun("a.h5", files).fingerprint();
    EXPECT_THAT(fingerprint, MatchesRegex("[0-9a-f]{64}"));
    RunRecord other = inventedRun();
    other.drives[0].captures[0].notes = {{"a", "b"}};
    writeInvented(files, "c.h5", other);
    EXPECT_NE(SealedRun("c.h5", files).fingerprint(), fingerprint);
}

TEST(RunFile, ARunIsNeverOverwritten) {
    MemoryFiles files;
    files.put("run.h5", {std::byte{1}});
    const Error error = errorOf([&] { writeInvented(files, "run.h5", inventedRun()); });
    EXPECT_EQ(error.kind(), ErrorKind::output);
    EXPECT_THAT(error.what(), HasSubstr("exists already"));
    EXPECT_EQ(files.bytes("run.h5"), std::vector{std::byte{1}});
    EXPECT_EQ(files.names().size(), 1U);
}

TEST(RunFile, WhatACrashLeftBehindStaysAndIsNoHindrance) {
    MemoryFiles files;
    files.put("run.h5.writing", {std::byte{1}});
    writeInvented(files, "run.h5", inventedRun());
    EXPECT_EQ(files.names(), (std::vector<std::string>{"run.h5", "run.h5.writing"}));
}

TEST(RunFile, AFailingSourceLeavesNothingBehind) {
    class Broken final : public CaptureSource {
        void read(std::size_t, std::size_t, std::span<std::int32_t>) override {
            throw Error(ErrorKind::input, "is cut", "front.wav", "");
        }
        void read(std::size_t, std::size_t, std::span<float>) override {}
    } source;
    MemoryFiles files;
    EXPECT_EQ(errorOf([&] { writeSealedRun("run.h5", inventedRun(), source, files); }).where(), "front.wav");
    EXPECT_TRUE(files.names().empty());
}

TEST(RunFile, RecordsThatContradictThemselvesAreRefused) {
    MemoryFiles files;
    const auto kindOf = [&](auto change) {
        RunRecord run = inventedRun();
        change(run);
        return errorOf([&] { writeInvented(files, "run.h5", run); }).kind();
    };
    EXPECT_EQ(kindOf([](RunRecord& r) { r.drives[0].name = "a/b"; }), ErrorKind::input);
    EXPECT_EQ(kindOf([](RunRecord& r) { r.drives[1].name = "front"; }), ErrorKind::bug);
    EXPECT_EQ(kindOf([](RunRecord& r) { r.drives[0].captures.clear(); }), ErrorKind::bug);
    EXPECT_EQ(kindOf([](RunRecord& r) { r.drives[0].channelRoles.clear(); }), ErrorKind::bug);
    EXPECT_EQ(kindOf([](RunRecord& r) { r.drives[2].frequencyHz.pop_back(); }), ErrorKind::bug);
    EXPECT_EQ(kindOf([](RunRecord& r) { r.drives[0].captures[0].quality.noiseDb = {1}; }), ErrorKind::bug);
    EXPECT_EQ(kindOf([](RunRecord& r) { r.calibration.microphone.levelDb.pop_back(); }), ErrorKind::bug);
    EXPECT_EQ(kindOf([](RunRecord& r) { r.drives.clear(); }), ErrorKind::bug);
    EXPECT_TRUE(files.names().empty());
}

TEST(RunFile, ManyCapturesFitTheSeal) {
    MemoryFiles files;
    const RunRecord many = plainRun(2522, 1, 2);
    writeInvented(files, "run.h5", many);
    const SealedRun run("run.h5", files);
    EXPECT_EQ(testing::firstDifference(many, run.record()), "");
    std::vector<float> samples(2);
    run.readCapture(0, 2521, samples);
    EXPECT_EQ(samples[1], static_cast<float>(inventedSample(0, 2521, 1)) / 2147483648.0F);
}

TEST(RunFile, WhereverTheTablesEndTheyAreRead) {
    // The library reads ahead of what it needs: tables may end anywhere before samples.
    for (std::size_t length = 0; length < 600; length += 7) {
        MemoryFiles files;
        RunRecord run = inventedRun();
        run.drives[0].captures[0].reason = std::string(length, 'x');
        run.events = {{"", std::string(length / 2, 'y')}};
        ASSERT_NO_THROW(writeInvented(files, "run.h5", run)) << length;
    }
}

TEST(RunFile, CapturesOfAnotherSizeOrNumberAreNotRead) {
    MemoryFiles files;
    writeInvented(files, "run.h5", inventedRun());
    const SealedRun run("run.h5", files);
    std::vector<float> samples(301);
    EXPECT_EQ(errorOf([&] { run.readCapture(0, 0, samples); }).kind(), ErrorKind::bug);
    EXPECT_EQ(errorOf([&] { run.readCapture(0, 0, std::span(samples).first(299)); }).kind(), ErrorKind::bug);
    EXPECT_EQ(errorOf([&] { run.readCapture(0, 3, std::span(samples).first(300)); }).kind(), ErrorKind::bug);
}

TEST(RunFile, ThreadsReadAtOnce) {
    MemoryFiles files;
    const RunRecord many = plainRun(40, 2, 500);
    writeInvented(files, "run.h5", many);
    writeInvented(files, "other.h5", inventedRun());
    const SealedRun run("run.h5", files);
    std::vector<std::thread> threads;
    std::vector<int> wrong(4, 0);
    for (std::size_t t = 0; t < 4; ++t)
        threads.emplace_back([&, t] {
            std::vector<float> samples(1000);
            for (std::size_t i = 0; i < 200; ++i) {
                const std::size_t capture = (i * 7 + t) % 40;
                run.readCapture(0, capture, samples);
                wrong[t] +=
                    samples[999] != static_cast<float>(inventedSample(0, capture, 999)) / 2147483648.0F;
                if (i % 50 == 0) wrong[t] += SealedRun("other.h5", files).record().drives.size() != 3;
            }
        });
    for (auto& thread : threads) thread.join();
    EXPECT_EQ(wrong, std::vector<int>(4, 0));
}

TEST(RunRecord, DrivesAreFoundWhateverTheOrderOfTheirSections) {
    const RunRecord run = inventedRun();
    EXPECT_EQ(driveNamed(run, "front").name, "front");
    EXPECT_EQ(driveNamed(run, "front+rear").name, "front+rear");
    EXPECT_EQ(driveNamed(run, "rear+front").name, "front+rear");
}

TEST(RunRecord, AnUnknownDriveIsNamedWithThoseThereAre) {
    for (const std::string name : {"frnt", "", "+", "front+", "front+front"}) {
        const Error error = errorOf([&] { driveNamed(inventedRun(), name); });
        EXPECT_EQ(error.kind(), ErrorKind::usage);
        EXPECT_THAT(error.what(), AllOf(HasSubstr("'" + name + "'"), HasSubstr("front, rear, front+rear")));
    }
    EXPECT_THAT(errorOf([&] { driveNamed(inventedRun(), "frnt"); }).what(),
                HasSubstr("Did you mean 'front'"));
}

TEST(Capture, JudgedOctavesAreTheExactBaseTenCentres) {
    // IEC 61260-1:2014, base-ten system: 1000 Hz times powers of G = 10^0.3; nominally 31.5 Hz ... 16 kHz.
    const double expected[] = {31.623, 63.096,   125.893,  251.189,  501.187,
                               1000,   1995.262, 3981.072, 7943.282, 15848.932};
    ASSERT_EQ(judgedOctavesHz().size(), 10U);
    for (std::size_t i = 0; i < 10; ++i) EXPECT_NEAR(judgedOctavesHz()[i], expected[i], 6e-4) << i;
}

TEST(Capture, APositionIsNamedByTheOrbitThatItWasMeasuredOn) {
    Capture capture;
    EXPECT_EQ(positionName(capture), "horizontal:0");
    capture.orbit = Orbit::vertical;
    EXPECT_EQ(positionName(capture), "vertical:0");
    capture.direction = {50, 0};
    capture.orbit = Orbit::horizontal;
    EXPECT_EQ(positionName(capture), "horizontal:50");
}

}  // namespace
}  // namespace volvelle
