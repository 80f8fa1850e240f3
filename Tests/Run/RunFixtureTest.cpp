#include "Run/InventedRun.h"

#include <gtest/gtest.h>

namespace volvelle {
namespace {

const std::string version1 = std::string(VOLVELLE_DATASETS) + "/runs/version-1.h5";
const std::string version2 = std::string(VOLVELLE_DATASETS) + "/runs/version-2.h5";

void expectInventedSamples(const ReadableRun& run) {
    std::vector<float> samples(300);
    run.readCapture(0, 2, samples);
    for (std::size_t i = 0; i < samples.size(); ++i)
        ASSERT_EQ(samples[i], static_cast<float>(testing::inventedSample(0, 2, i)) / 2147483648.0F);
    samples.resize(6);
    run.readCapture(2, 1, samples);
    for (std::size_t i = 0; i < samples.size(); ++i) ASSERT_EQ(samples[i], testing::inventedFloat(2, 1, i));
}

// Files of earlier versions are opened for ever: never replace one, add the next.

TEST(RunFixture, Version1IsReadAsItWasMeant) {
    const SealedRun run(version1, diskFiles());
    EXPECT_EQ(testing::firstDifference(testing::inventedRunOfVersion1(), run.record()), "");
    expectInventedSamples(run);
}

TEST(RunFixture, Version2IsReadAsItWasMeant) {
    const SealedRun run(version2, diskFiles());
    EXPECT_EQ(testing::firstDifference(testing::inventedRun(), run.record()), "");
    expectInventedSamples(run);
}

TEST(RunFixture, Version2HoldsTheValuesThatWereAdded) {
    const SealedRun run(version2, diskFiles());
    EXPECT_EQ(run.fingerprint(), "316e9ce5b2dc0654bd4edb4f8d1636836a0ef9db1494ace4f6b9189622a3b72c");
    const Capture& capture = run.record().drives[0].captures[1];
    EXPECT_EQ(capture.tableDeg, -10.0);
    EXPECT_EQ(capture.readBackDeg, 10.02);
    EXPECT_EQ(capture.tiltDeg, 0.5);
    EXPECT_EQ(capture.tiltReadBackDeg, 0.48);
    EXPECT_EQ(capture.quality.driftDb, -0.03);
    EXPECT_EQ(capture.quality.driftS, 1.5e-6);
    for (const PieceReport& piece : verifyRun(version2, diskFiles())) EXPECT_TRUE(piece.intact) << piece.name;
}

TEST(RunFixture, Version1HoldsTheValuesThatWereWritten) {
    const SealedRun run(version1, diskFiles());
    const RunRecord& record = run.record();
    EXPECT_EQ(run.fingerprint(), "94fb95d7f1c1297db40a54aa90c0edfdc7f6730d263d50a40826ad64e8d1f6ae");
    ASSERT_EQ(record.drives.size(), 3U);
    EXPECT_EQ(record.drives[0].name, "front");
    EXPECT_EQ(record.drives[1].name, "rear");
    EXPECT_EQ(record.drives[2].name, "front+rear");
    EXPECT_EQ(record.plan.unitModel, "Invented Two-Way");
    EXPECT_EQ(record.calibration.pascalPerFullScale, 12.5);
    EXPECT_EQ(record.timeZero, TimeZero::loopback);
    const Capture& capture = record.drives[0].captures[1];
    EXPECT_EQ(capture.id, "front/horizontal:10/1");
    EXPECT_EQ(capture.kind, CaptureKind::axisCheck);
    EXPECT_EQ(capture.state, CaptureState::doubtful);
    EXPECT_EQ(capture.air.temperatureC, 21.5);
    EXPECT_EQ(capture.quality.noiseDb.at(3), 13.0);
    EXPECT_EQ(capture.notes.at(0).second, "net, \"tight\"");
    EXPECT_EQ(record.drives[1].form, CaptureForm::impulseResponse);
    EXPECT_EQ(record.drives[2].frequencyHz, (std::vector<double>{100, 1000, 10000}));
    EXPECT_EQ(record.events.at(0).text, "begun");
}

TEST(RunFixture, EveryPieceOfVersion1IsIntact) {
    for (const PieceReport& piece : verifyRun(version1, diskFiles())) EXPECT_TRUE(piece.intact) << piece.name;
}

}  // namespace
}  // namespace volvelle
