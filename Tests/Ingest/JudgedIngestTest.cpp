#include "Ingest/Ingest.h"
#include "Ingest/Scenario.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <string>

namespace volvelle::test {

namespace {

using testing::AllOf;
using testing::Contains;
using testing::HasSubstr;
using testing::Not;

class JudgedIngest : public testing::Test {
protected:
    Scenario lab;
};

/// A recording with so many samples at full scale in the middle.
Channels clipped(std::size_t samples) {
    Channels channels = Scenario::recorded(1);
    for (std::size_t i = 0; i < samples; ++i) channels[0][7000 + i] = 1;
    return channels;
}

TEST_F(JudgedIngest, clippingIsJudgedByEachFilesOwnDepth) {
    lab.writeRecording("rec/1.wav", clipped(5),
                       Scenario::wav16);  // full scale of 16 bits: no full scale of 24
    lab.writeRecording("rec/2.wav", clipped(4));
    const auto summary = lab.run();
    const auto& captures = summary.run.drives[0].captures;
    EXPECT_EQ(summary.run.drives[0].bitsPerSample, 24);
    EXPECT_EQ(captures[0].quality.clippedSamples, 0);
    EXPECT_EQ(captures[1].quality.clippedSamples, 5);
    EXPECT_THAT(captures[1].reason, HasSubstr("clipped: 5 consecutive samples"));
    EXPECT_EQ(captures[2].quality.clippedSamples, 4);
}

TEST_F(JudgedIngest, clippingOfIntegerFilesIsKnownInADriveThatAlsoHasFloatingPoint) {
    lab.writeRecording("rec/0.wav", clipped(6), Scenario::wavFloat);
    lab.writeRecording("rec/1.wav", clipped(5), Scenario::wav16);
    const auto summary = lab.run();
    const auto& captures = summary.run.drives[0].captures;
    EXPECT_EQ(summary.run.drives[0].sampleType, SampleType::float32);
    EXPECT_TRUE(std::isnan(captures[0].quality.clippedSamples));
    EXPECT_EQ(captures[1].quality.clippedSamples, 5);
    EXPECT_EQ(captures[2].quality.clippedSamples, 0);
}

TEST_F(JudgedIngest, aCaptureThatIsUpsideDownAloneIsRemarkedAndKept) {
    std::string rows;
    for (int i = 0; i < 5; ++i) {
        Channels channels = Scenario::recorded(0);
        if (i == 2)
            for (double& sample : channels[0]) sample = -sample;
        const std::string name = "ring/" + std::to_string(i) + ".wav";
        lab.writeRecording(name, channels);
        rows += name + ",front,horizontal," + std::to_string(10 * i) + "\n";
    }
    lab.writeManifest(rows);
    const auto summary = lab.run();
    EXPECT_THAT(summary.remarks, Contains(AllOf(HasSubstr("upside down"), HasSubstr("horizontal:20;"))));
    EXPECT_EQ(summary.run.drives[0].captures[2].state, CaptureState::kept);
    lab.writeManifest(rows.substr(0, rows.find("ring/2")) + rows.substr(rows.find("ring/3")));
    lab.options.outputPath = lab.path("RUN2.h5");
    EXPECT_THAT(lab.run().remarks, Not(Contains(HasSubstr("upside down"))));
}

TEST_F(JudgedIngest, aLoopbackScaleThatNobodyStatedIsSaidToBeAssumed) {
    lab.options.loopbackVoltsPerFullScale.reset();
    EXPECT_THAT(lab.run().warnings, Contains(HasSubstr("assumed as the excitation's")));
}

TEST_F(JudgedIngest, aLoopbackScaleThatDoesNotFitWhatWasPlayedIsRemarked) {
    lab.options.loopbackVoltsPerFullScale = 10;  // as the excitation's, and the loopback is a copy of it
    EXPECT_THAT(lab.run().remarks, Not(Contains(HasSubstr("dB of what was played"))));
    lab.options.outputPath = lab.path("second.h5");
    lab.options.loopbackVoltsPerFullScale = 5;
    const auto summary = lab.run();
    EXPECT_THAT(summary.warnings, Not(Contains(HasSubstr("assumed as"))));
    EXPECT_THAT(summary.remarks, Contains(HasSubstr("the loopback says -6.02 dB of what was played")));
}

TEST_F(JudgedIngest, aFileOnTwoRowsIsRemarked) {
    lab.writeManifest("rec/0.wav,front,horizontal,0\nrec/1.wav,front,horizontal,10\n"
                      "./rec/0.wav,front,horizontal,20\n");
    EXPECT_THAT(lab.run().warnings, Contains(HasSubstr("lines 2 and 4 of the manifest name the same file")));
}

}  // namespace
}  // namespace volvelle::test
