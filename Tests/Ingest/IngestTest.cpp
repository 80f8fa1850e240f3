#include "Ingest/Ingest.h"
#include "Ingest/Scenario.h"
#include "Run/FaultyFiles.h"
#include "Run/RunFile.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace volvelle::test {

namespace {

using testing::AllOf;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Pair;

std::vector<float> samplesOf(const SealedRun& run, std::size_t drive, std::size_t capture) {
    const DriveRecord& d = run.record().drives[drive];
    std::vector<float> samples(d.channelRoles.size() * d.samplesPerChannel);
    run.readCapture(drive, capture, samples);
    return samples;
}

/// What 24-bit files hold of a sample, at full scale 1.0.
double in24Bit(double sample) {
    return leftJustified(sample, 24) * 0x1p-31;
}

class Ingest : public testing::Test {
protected:
    Scenario lab;
    SealedRun sealed() { return SealedRun(lab.options.outputPath, diskFiles()); }
};

TEST_F(Ingest, everySampleOfARecordingArrivesAsItWas) {
    lab.run();
    const SealedRun run = sealed();
    ASSERT_EQ(run.record().drives.size(), 2U);
    const DriveRecord& front = run.record().drives[0];
    EXPECT_EQ(front.sampleType, SampleType::int32);
    EXPECT_EQ(front.bitsPerSample, 24);
    EXPECT_EQ(front.sampleRateHz, 48000);
    EXPECT_EQ(front.samplesPerChannel, Scenario::length);
    EXPECT_THAT(front.channelRoles, ElementsAre("microphone", "loopback"));
    for (std::uint32_t i = 0; i < 5; ++i) {
        const Channels recorded = Scenario::recorded(i);
        const auto stored = i < 3 ? samplesOf(run, 0, i) : samplesOf(run, 1, i - 3);
        for (std::size_t c = 0; c < 2; ++c) {
            for (std::size_t k = 0; k < Scenario::length; ++k) {
                ASSERT_EQ(static_cast<double>(stored[c * Scenario::length + k]), in24Bit(recorded[c][k]))
                    << i << ' ' << k;
            }
        }
    }
    const auto played = Scenario::excitation();
    ASSERT_EQ(front.excitation.samples.size(), played.size());
    for (std::size_t k = 0; k < played.size(); ++k) {
        ASSERT_EQ(static_cast<double>(front.excitation.samples[k]), in24Bit(played[k]));
    }
    EXPECT_EQ(front.excitation.sampleRateHz, 48000);
}

TEST_F(Ingest, theRunHoldsWhatWasStated) {
    lab.options.unitSizeM = 0.4;
    lab.options.air = parseAirOption("21.5,48,100.9");
    lab.options.driveQuantity = parseDriveQuantity("input-volts");
    lab.options.loopbackVoltsPerFullScale = 5;
    writeBytes(lab.path("mic.csv"), "frequency_hz,level_db\n20,0.5\n20000,-1\n");
    lab.options.microphoneResponsePath = lab.path("mic.csv");
    lab.run();
    const SealedRun run = sealed();
    const RunRecord& r = run.record();
    EXPECT_EQ(r.nominalDistanceM, 2);
    EXPECT_EQ(r.unitSizeM, 0.4);
    EXPECT_EQ(r.air.temperatureC, 21.5);
    EXPECT_EQ(r.air.relativeHumidityPercent, 48);
    EXPECT_EQ(r.air.pressureKPa, 100.9);
    EXPECT_EQ(r.timeZero, TimeZero::loopback);
    EXPECT_EQ(r.calibration.pascalPerFullScale, 20);
    EXPECT_EQ(r.calibration.voltsPerFullScale, 10);
    EXPECT_EQ(r.calibration.loopbackVoltsPerFullScale, 5);
    EXPECT_THAT(r.calibration.microphone.levelDb, ElementsAre(0.5, -1));
    EXPECT_EQ(r.plan.driveQuantity, DriveQuantity::inputVolts);
    EXPECT_EQ(r.provenance.commandLine, "volvelle ingest");
    EXPECT_EQ(r.provenance.programVersion, "0.0.test");
    EXPECT_THAT(r.provenance.utc, testing::MatchesRegex("20[0-9-]+T[0-9:]+Z"));
    const Capture& capture = r.drives[0].captures[2];
    EXPECT_EQ(capture.id, "front/vertical:-30/on-side/1");
    EXPECT_EQ(capture.orbit, Orbit::vertical);
    EXPECT_EQ(capture.angleDeg, -30);
    EXPECT_EQ(capture.stance, Stance::onSide);
    EXPECT_EQ(capture.distanceM, 2);
    EXPECT_EQ(capture.sourceFile, "rec/2.wav");
    EXPECT_EQ(r.drives[1].captures[1].id, "rear/horizontal:180/upright/1");
}

TEST_F(Ingest, whatIsNotStatedStaysSo) {
    lab.run();
    const SealedRun run = sealed();
    EXPECT_TRUE(std::isnan(run.record().unitSizeM));
    EXPECT_FALSE(run.record().air.isStated());
    EXPECT_EQ(run.record().plan.driveQuantity, DriveQuantity::unknown);
    EXPECT_TRUE(run.record().plan.unitModel.empty());
    EXPECT_FALSE(run.record().calibration.microphone.isStated());
    EXPECT_EQ(run.record().calibration.loopbackVoltsPerFullScale, 10)
        << "as the excitation's where not given";
}

TEST_F(Ingest, capturesAreJudgedOnTheWayIn) {
    const IngestSummary summary = lab.run();
    for (const auto& drive : summary.run.drives) {
        for (const auto& capture : drive.captures) {
            EXPECT_NEAR(capture.quality.loopbackDelayS, 100.0 / 48000, 1e-5) << capture.id;
            EXPECT_NEAR(capture.quality.arrivalS, 280.0 / 48000, 1e-4) << capture.id;
            EXPECT_EQ(capture.quality.clippedSamples, 0) << capture.id;
            EXPECT_EQ(capture.state, CaptureState::kept) << capture.reason;
        }
    }
    const SealedRun run = sealed();
    EXPECT_EQ(run.record().drives[1].captures[0].quality.arrivalS,
              summary.run.drives[1].captures[0].quality.arrivalS);
}

TEST_F(Ingest, oneThreadAndThreeFindTheSame) {
    lab.options.jobs = 1;
    const auto one = lab.run();
    lab.options.jobs = 3;
    lab.options.outputPath = lab.path("RUN3.h5");
    const auto three = lab.run();
    for (std::size_t d = 0; d < 2; ++d) {
        for (std::size_t c = 0; c < one.run.drives[d].captures.size(); ++c) {
            const CaptureQuality &a = one.run.drives[d].captures[c].quality,
                                 &b = three.run.drives[d].captures[c].quality;
            EXPECT_EQ(a.peakPa, b.peakPa);
            EXPECT_EQ(a.arrivalS, b.arrivalS);
            EXPECT_EQ(a.residueDb, b.residueDb);
            EXPECT_THAT(a.noiseDb, testing::Pointwise(testing::NanSensitiveDoubleEq(), b.noiseDb));
            EXPECT_THAT(a.decayS, testing::Pointwise(testing::NanSensitiveDoubleEq(), b.decayS));
        }
    }
}

TEST_F(Ingest, progressCountsEveryCapture) {
    std::vector<std::size_t> done;
    lab.options.progress = [&](std::size_t n, std::size_t total) {
        EXPECT_EQ(total, 5U);
        done.push_back(n);
    };
    lab.run();
    EXPECT_THAT(done, ElementsAre(1U, 2U, 3U, 4U, 5U));
}

TEST_F(Ingest, withoutLoopbackTimeZeroIsTheFilesStart) {
    lab.options.loopbackChannel.reset();
    const auto summary = lab.run();
    EXPECT_EQ(summary.run.timeZero, TimeZero::excitationFile);
    EXPECT_THAT(summary.run.drives[0].channelRoles, ElementsAre("microphone"));
    EXPECT_TRUE(std::isnan(summary.run.calibration.loopbackVoltsPerFullScale));
    EXPECT_THAT(summary.warnings, Contains(HasSubstr("no loopback channel")));
    const SealedRun run = sealed();
    EXPECT_EQ(samplesOf(run, 0, 0).size(), Scenario::length);
    EXPECT_EQ(run.record().events.size(), summary.warnings.size() + summary.remarks.size());
}

TEST_F(Ingest, filesOfOneDriveMayDifferInFormatAndFloatsWin) {
    lab.writeRecording("rec/1.wav", Scenario::recorded(1), Scenario::wavFloat);
    lab.writeRecording("rec/3.wav", Scenario::recorded(3), Scenario::flac24);
    lab.writeRecording("rec/4.wav", Scenario::recorded(4), Scenario::wav16);
    lab.run();
    const SealedRun run = sealed();
    EXPECT_EQ(run.record().drives[0].sampleType, SampleType::float32);
    EXPECT_EQ(run.record().drives[1].sampleType, SampleType::int32);
    const Channels first = Scenario::recorded(0), second = Scenario::recorded(1),
                   rear = Scenario::recorded(3);
    EXPECT_EQ(samplesOf(run, 0, 0)[5000], static_cast<float>(in24Bit(first[0][5000])));
    EXPECT_EQ(samplesOf(run, 0, 1)[5000], static_cast<float>(second[0][5000]));
    EXPECT_EQ(samplesOf(run, 1, 0)[5000], static_cast<float>(in24Bit(rear[0][5000])));
}

TEST_F(Ingest, impulseResponsesNeedNoExcitation) {
    lab.options.excitationPath.clear();
    lab.options.loopbackChannel.reset();
    lab.options.impulseResponses = true;
    for (int i = 0; i < 5; ++i) {
        auto samples = noise(4096, 3);
        for (double& x : samples) x *= 1e-5;
        samples[280] += 0.25;
        lab.writeRecording("rec/" + std::to_string(i) + ".wav", {samples}, Scenario::wavFloat);
    }
    const auto summary = lab.run();
    EXPECT_EQ(summary.run.timeZero, TimeZero::impulse);
    EXPECT_EQ(summary.run.drives[0].form, CaptureForm::impulseResponse);
    EXPECT_TRUE(summary.run.drives[0].excitation.samples.empty());
    const SealedRun run = sealed();
    EXPECT_NEAR(samplesOf(run, 0, 0)[280], 0.25, 1e-5);
}

TEST_F(Ingest, notesRepeatsAndDistancesOfTheManifestAreKept) {
    lab.writeManifest("rec/0.wav,front,horizontal,0,1,,dry\nrec/1.wav,front,horizontal,0,2,2.01,\n",
                      "file,drive,orbit,angle_deg,repeat,distance_m,weather");
    lab.run();
    const SealedRun run = sealed();
    const auto& captures = run.record().drives[0].captures;
    EXPECT_THAT(captures[0].notes, ElementsAre(Pair("weather", "dry")));
    EXPECT_EQ(captures[1].repeat, 2);
    EXPECT_EQ(captures[1].distanceM, 2.01);
    EXPECT_EQ(captures[1].id, "front/horizontal:0/upright/2");
}

constexpr const char* plan = R"({
    "purpose": "invented",
    "distance_m": 1.9,
    "unit": {"model": "Invented 1", "size_m": 0.5, "reference_point_from_axis_m": [0.15, 0, 0.1],
             "drive_quantity": "digital-full-scale",
             "sections": [{"name": "front"}, {"name": "rear"}]},
    "calibration": {"pascal_per_full_scale": 3, "volts_per_full_scale": 4, "loopback_volts_per_full_scale": 6}
})";

TEST_F(Ingest, thePlanServesWhereNoFlagIsGiven) {
    writeBytes(lab.path("plan.json"), plan);
    lab.options.planPath = lab.path("plan.json");
    lab.options.distanceM.reset();
    lab.options.pascalPerFullScale.reset();
    lab.options.voltsPerFullScale.reset();
    lab.run();
    const SealedRun run = sealed();
    const RunRecord& r = run.record();
    EXPECT_EQ(r.nominalDistanceM, 1.9);
    EXPECT_EQ(r.unitSizeM, 0.5);
    EXPECT_EQ(r.calibration.pascalPerFullScale, 3);
    EXPECT_EQ(r.calibration.voltsPerFullScale, 4);
    EXPECT_EQ(r.calibration.loopbackVoltsPerFullScale, 6);
    EXPECT_EQ(r.plan.driveQuantity, DriveQuantity::digitalFullScale);
    EXPECT_EQ(r.plan.unitModel, "Invented 1");
    const Capture& side = r.drives[0].captures[1];
    EXPECT_EQ(side.angleDeg, 50);
    EXPECT_GT(side.direction.azimuthDeg, 50);
    EXPECT_EQ(side.direction.elevationDeg, 0);
    EXPECT_NEAR(r.drives[1].captures[1].distanceM, 1.9 + 0.3, 1e-12);
}

TEST_F(Ingest, flagsOverrideThePlan) {
    writeBytes(lab.path("plan.json"), plan);
    lab.options.planPath = lab.path("plan.json");
    lab.options.unitSizeM = 0.7;
    lab.options.driveQuantity = DriveQuantity::terminalVolts;
    const auto summary = lab.run();
    const RunRecord& r = summary.run;
    EXPECT_EQ(r.nominalDistanceM, 2);
    EXPECT_EQ(r.plan.distanceM, 2);
    EXPECT_EQ(r.unitSizeM, 0.7);
    EXPECT_EQ(r.calibration.pascalPerFullScale, 20);
    EXPECT_EQ(r.plan.voltsPerFullScale, 10);
    EXPECT_EQ(r.plan.driveQuantity, DriveQuantity::terminalVolts);
}

TEST_F(Ingest, digitalFullScaleNeedsNoVolts) {
    lab.options.driveQuantity = DriveQuantity::digitalFullScale;
    lab.options.voltsPerFullScale.reset();
    EXPECT_EQ(lab.run().run.calibration.voltsPerFullScale, 1);
    lab.options.outputPath = lab.path("RUN2.h5");
    lab.options.voltsPerFullScale = 3;
    EXPECT_EQ(lab.run().run.calibration.voltsPerFullScale, 3);
}

TEST_F(Ingest, aDriveIsCalledAsThePlanCallsItWhicheverNameTheManifestHas) {
    writeBytes(lab.path("plan.json"), R"({
        "unit": {"sections": [{"name": "woofer"}, {"name": "tweeter"}]},
        "drives": [{"name": "whole", "sections": ["woofer", "tweeter"], "axis_deg": 180,
                    "reference_section": "woofer"}]})");
    lab.options.planPath = lab.path("plan.json");
    lab.writeManifest("rec/0.wav,tweeter+woofer,horizontal,0\nrec/1.wav,whole,horizontal,50\n");
    lab.run();
    const SealedRun run = sealed();
    ASSERT_EQ(run.record().drives.size(), 1U);
    EXPECT_EQ(run.record().drives[0].name, "whole");
    EXPECT_EQ(run.record().drives[0].captures[0].id, "whole/horizontal:0/upright/1");
    EXPECT_EQ(&driveNamed(run.record(), "woofer+tweeter"), &run.record().drives[0]);
}

// A unit of 1 m at 2 m: 4 · 2 m · 343.2 m/s / (π · 1 m²) = 874 Hz, where 2 m is the Rayleigh distance.
TEST_F(Ingest, aMicrophoneThatIsNearIsWarnedOfWithItsFrequency) {
    lab.options.loopbackVoltsPerFullScale = 10;
    lab.options.unitSizeM = 1;
    EXPECT_THAT(lab.run().warnings, Contains(AllOf(HasSubstr("far-field"), HasSubstr("870 Hz"))));
    lab.options.outputPath = lab.path("RUN2.h5");
    lab.options.unitSizeM = 0.6;
    EXPECT_THAT(lab.run().warnings, IsEmpty());
}

class TextIngest : public Ingest {
protected:
    TextIngest() {
        const IngestOptions recordings = lab.options;
        lab.options = {};
        lab.options.manifestPath = recordings.manifestPath;
        lab.options.outputPath = recordings.outputPath;
        lab.options.textResponses = true;
        lab.options.distanceM = 2;
        lab.writeManifest("a.txt,front,horizontal,0\nb.txt,front,horizontal,10\n");
        writeBytes(lab.path("a.txt"), "Hz dB deg\n100 80.25 -30\n200 81 10\n400 82 11\n");
        writeBytes(lab.path("b.txt"), "100;70;-31\n200;71;9\n400;72;8\n");
    }
};

TEST_F(TextIngest, keepsLevelsPhasesAndTheirOwnGrid) {
    const auto summary = lab.run();
    EXPECT_THAT(summary.warnings, Contains(HasSubstr("time zero")));
    const SealedRun run = sealed();
    const DriveRecord& drive = run.record().drives[0];
    EXPECT_EQ(drive.form, CaptureForm::textResponse);
    EXPECT_EQ(run.record().timeZero, TimeZero::textPhase);
    EXPECT_THAT(drive.frequencyHz, ElementsAre(100, 200, 400));
    EXPECT_THAT(samplesOf(run, 0, 0), ElementsAre(80.25F, 81, 82, -30, 10, 11));
    EXPECT_THAT(samplesOf(run, 0, 1), ElementsAre(70, 71, 72, -31, 9, 8));
    EXPECT_EQ(run.record().calibration.pascalPerFullScale, 1);
    EXPECT_EQ(run.record().calibration.voltsPerFullScale, 2.83);
}

TEST_F(TextIngest, absentPhasesAreNotANumber) {
    writeBytes(lab.path("b.txt"), "100 70\n200 71\n400 72\n");
    lab.options.textDriveVolts = 1;
    lab.run();
    const SealedRun run = sealed();
    const auto samples = samplesOf(run, 0, 1);
    EXPECT_EQ(samples[2], 72);
    EXPECT_TRUE(std::isnan(samples[3]) && std::isnan(samples[5]));
    EXPECT_EQ(run.record().calibration.voltsPerFullScale, 1);
}

TEST_F(TextIngest, anotherGridOrABadLineIsNamed) {
    writeBytes(lab.path("b.txt"), "100 70 0\n250 71 0\n400 72 0\n");
    EXPECT_THAT(lab.refusal().what(), AllOf(HasSubstr("b.txt"), HasSubstr("MANIFEST.csv, line 3"),
                                            HasSubstr("line 2"), HasSubstr("250 Hz")));
    writeBytes(lab.path("b.txt"), "100 70 0\n200 7l 0\n400 72 0\n");
    EXPECT_THAT(lab.refusal().what(), AllOf(HasSubstr("b.txt"), HasSubstr("line 2"), HasSubstr("7l")));
    std::filesystem::remove(lab.path("b.txt"));
    EXPECT_THAT(lab.refusal().what(), AllOf(HasSubstr("b.txt"), HasSubstr("line 3")));
}

TEST_F(Ingest, aFileThatChangesWhileItIsReadIsRefused) {
    lab.options.jobs = 1;
    lab.options.progress = [&](std::size_t done, std::size_t) {
        if (done == 5) lab.writeRecording("rec/0.wav", Scenario::recorded(4));
    };
    const Error error = errorOf([&] { lab.run(); });
    EXPECT_EQ(error.kind(), ErrorKind::input);
    EXPECT_THAT(error.what(), AllOf(HasSubstr("rec/0.wav"), HasSubstr("changed while it was read")));
    EXPECT_FALSE(std::filesystem::exists(lab.options.outputPath));
}

// Whatever call to the disk fails, there is a whole run or none, and never a leftover.
TEST_F(Ingest, aDiskThatFailsAtAnyCallLeavesNothingBehind) {
    lab.writeManifest("rec/0.wav,front,horizontal,0\n");
    lab.options.jobs = 1;
    const auto before = lab.folder.contents();
    std::size_t failures = 0;
    for (std::size_t call = 1;; ++call) {
        FaultyFiles files(diskFiles(), Fault::fail, call);
        try {
            ingest(lab.options, files);
            if (files.calls() < call) break;
        } catch (const Error& error) {
            ++failures;
            EXPECT_THAT(error.kind(), testing::AnyOf(ErrorKind::input, ErrorKind::output, ErrorKind::damaged))
                << files.faultyCall() << ": " << error.what();
            ASSERT_TRUE(lab.folder.contents() == before) << files.faultyCall() << ": " << error.what();
        }
        std::filesystem::remove(lab.options.outputPath);
    }
    EXPECT_GT(failures, 20U);
}

}  // namespace

}  // namespace volvelle::test
