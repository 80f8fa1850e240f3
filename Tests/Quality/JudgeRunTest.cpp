#include "Quality/Judge.h"
#include "Quality/Synthetic.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

using testing::HasSubstr;

/// Twelve captures on an orbit at 2 m, arriving where they should, with 20 dB of noise in every octave.
RunRecord plainRun() {
    RunRecord run;
    run.nominalDistanceM = 2;
    run.unitSizeM = 0.4;
    run.air = {20, 50, 101.325};
    run.timeZero = TimeZero::loopback;
    DriveRecord drive;
    drive.name = "front";
    for (int i = 0; i < 12; ++i) {
        Capture capture;
        capture.direction = directionOn(Orbit::horizontal, 30.0 * i);
        capture.distanceM = 2;
        capture.quality.arrivalS = 2 / 343.2 + (i % 2 ? 2e-4 : -2e-4);
        capture.quality.noiseDb.assign(judgedOctavesHz().size(), 20.0 + i % 3);
        capture.quality.loopbackDelayS = 0.001 + 1e-5 * i;
        drive.captures.push_back(capture);
    }
    run.drives = {drive};
    return run;
}

std::size_t doubtful(const RunRecord& run) {
    std::size_t count = 0;
    for (const auto& capture : run.drives[0].captures) count += capture.state == CaptureState::doubtful;
    return count;
}

TEST(JudgedRun, LeavesAPlainRunAlone) {
    RunRecord run = plainRun();
    judgeRun(run);
    EXPECT_EQ(doubtful(run), 0u);
}

TEST(JudgedRun, DoubtsAnArrivalThatTheUnitsSizeDoesNotExplain) {
    const double reach = (0.4 + 0.15) / 343.2;
    for (const double off : {0.9, 1.1})
        for (const int sign : {1, -1}) {
            RunRecord run = plainRun();
            auto& capture = run.drives[0].captures[5];
            capture.quality.arrivalS = 2 / 343.2 + 2e-4 + sign * off * reach + (sign < 0 ? -4e-4 : 0);
            judgeRun(run);
            EXPECT_EQ(doubtful(run), off > 1 ? 1u : 0u) << off;
            if (off > 1) {
                EXPECT_THAT(capture.reason, HasSubstr(sign > 0 ? "later" : "earlier"));
            }
        }
}

TEST(JudgedRun, ComparesArrivalsLessTheTimeThatEachDistanceTakes) {
    RunRecord run = plainRun();
    auto& capture = run.drives[0].captures[5];
    capture.distanceM = 4;
    capture.quality.arrivalS = 4 / 343.2;
    judgeRun(run);
    EXPECT_EQ(doubtful(run), 0u);
}

TEST(JudgedRun, DoubtsNoiseThatJumpsByMoreThan15Db) {
    for (const double jump : {14.0, 17.5}) {
        RunRecord run = plainRun();
        run.drives[0].captures[3].quality.noiseDb[2] = 21 + jump;
        judgeRun(run);
        EXPECT_EQ(doubtful(run), jump > 15 ? 1u : 0u);
        if (jump > 15) {
            EXPECT_THAT(run.drives[0].captures[3].reason,
                        HasSubstr("noise 18 dB over the drive's usual in the octave of 125 Hz"));
            judgeRun(run);  // says it once
            EXPECT_EQ(run.drives[0].captures[3].reason.find("noise"),
                      run.drives[0].captures[3].reason.rfind("noise"));
        }
    }
}

TEST(JudgedRun, NamesTheOctavesOfOneNoiseTogether) {
    RunRecord run = plainRun();
    auto& capture = run.drives[0].captures[3];
    for (const std::size_t b : {1U, 2U, 3U, 4U, 7U})
        capture.quality.noiseDb[b] = 21 + 16 + (b == 4 ? 1.2 : 0);
    judgeRun(run);
    EXPECT_EQ(capture.reason,
              "noise up to 17 dB over the drive's usual in the octaves 63 to 500 Hz and 4 kHz");
    judgeRun(run);
    EXPECT_EQ(capture.reason,
              "noise up to 17 dB over the drive's usual in the octaves 63 to 500 Hz and 4 kHz");
}

TEST(JudgedRun, ReportsTheRangeOfTheLoopbackDelayAndLatencyThatIsNotStated) {
    RunRecord run = plainRun();
    const auto plain = judgeRun(run);
    ASSERT_EQ(plain.size(), 1u);
    EXPECT_THAT(plain[0], HasSubstr("from 1.000 to 1.110 ms"));
    for (auto& capture : run.drives[0].captures) capture.quality.arrivalS += 0.005;
    EXPECT_EQ(doubtful(run), 0u);
    EXPECT_THAT(judgeRun(run)[0], HasSubstr("latency"));
    JudgeSettings stated;
    stated.latencyS = 0.005;
    EXPECT_EQ(judgeRun(run, stated).size(), 1u);
    for (auto& capture : run.drives[0].captures) capture.quality.arrivalS -= 0.009;
    EXPECT_THAT(judgeRun(run)[0], HasSubstr("before it could have covered the distance"));
}

TEST(JudgedRun, SaysNothingOfUnknownNoiseAndOfSupersededCaptures) {
    RunRecord run = plainRun();
    run.drives[0].captures[0].quality = {};
    run.drives[0].captures[1].state = CaptureState::superseded;
    run.drives[0].captures[1].quality.arrivalS = 1;
    judgeRun(run);
    EXPECT_EQ(doubtful(run), 0u);
    EXPECT_EQ(run.drives[0].captures[1].state, CaptureState::superseded);
}

TEST(AcceptedJudgement, MarksTheCaptureWithItsReasons) {
    Capture capture;
    Judgement judgement;
    judgement.peakPa = 3;
    accept(capture, judgement);
    EXPECT_EQ(capture.state, CaptureState::kept);
    EXPECT_EQ(capture.quality.peakPa, 3);
    judgement.doubts = {"one", "two"};
    accept(capture, judgement);
    EXPECT_EQ(capture.state, CaptureState::doubtful);
    EXPECT_EQ(capture.reason, "one; two");
}

TEST(Repeats, DifferByTheirLargestThirdOctaveLevelDifference) {
    using namespace synthetic;
    Scene scene;
    scene.sweepS = 1;
    DriveRecord drive = scene.drive();
    const Judge judge(drive, scene.calibration());
    const Response plain = delayed(74, 0.006);
    std::vector<Judgement> judgements;
    for (int repeat = 1; repeat <= 3; ++repeat) {
        auto samples = scene.through([&](double f) {
            const double octaves = std::log2(f / 2000);
            const double changeDb = repeat == 2   ? 0.5
                                    : repeat == 3 ? 1.5 * std::exp(-octaves * octaves / 2)
                                                  : 0;
            return plain(f) * std::pow(10, changeDb / 20);
        });
        addNoise(samples, noiseDeviation(scene, 18), static_cast<std::uint64_t>(repeat));
        const Recorded r = recorded(samples);
        judgements.push_back(judge.judge(r.samples, {}, {r.raw, 24}));
        drive.captures.emplace_back().repeat = repeat;
        accept(drive.captures.back(), judgements.back());
    }
    drive.captures.emplace_back().direction = directionOn(Orbit::horizontal, 10);
    judgements.push_back(judgements[2]);
    compareRepeats(drive, judgements);
    EXPECT_TRUE(std::isnan(drive.captures[0].quality.repeatDifferenceDb));
    EXPECT_NEAR(drive.captures[1].quality.repeatDifferenceDb, 0.5, 0.02);
    EXPECT_NEAR(drive.captures[2].quality.repeatDifferenceDb, 1.5, 0.03);
    EXPECT_TRUE(std::isnan(drive.captures[3].quality.repeatDifferenceDb));
    EXPECT_THROW(compareRepeats(drive, {}), Error);
}

TEST(LoopbackLevel, IsRemarkedBeyondItsToleranceWhateverItsSign) {
    EXPECT_TRUE(remarkOnLoopbackLevel("front", {}).empty());
    EXPECT_TRUE(remarkOnLoopbackLevel("front", {notStated, notStated}).empty());
    EXPECT_TRUE(remarkOnLoopbackLevel("front", {0.19, notStated, -0.19}).empty());
    EXPECT_THAT(remarkOnLoopbackLevel("front", {-6, -6.002, -5.9}), testing::HasSubstr("-6.00 dB of what was played"));
    EXPECT_THAT(remarkOnLoopbackLevel("front", {0.25}), testing::HasSubstr("+0.25 dB of what was played"));
}

TEST(JudgedRun, LeavesTheLoopbackDelayOfDoubtfulAndSupersededCapturesOut) {
    for (const CaptureState state : {CaptureState::kept, CaptureState::doubtful, CaptureState::superseded}) {
        RunRecord run;
        run.drives.resize(1);
        for (const double delayS : {0.002, 0.8}) {
            Capture capture;
            capture.quality.loopbackDelayS = delayS;
            if (delayS > 0.1) capture.state = state;
            run.drives[0].captures.push_back(capture);
        }
        const auto remarks = judgeRun(run);
        const bool named = testing::Value(remarks, testing::Contains(testing::HasSubstr("to 800.000 ms")));
        EXPECT_EQ(named, state == CaptureState::kept);
    }
}

}  // namespace
}  // namespace volvelle
