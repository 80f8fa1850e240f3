#include "Chamber/Stage.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace volvelle {
namespace {

using stage::Chamber;
using stage::rate;
using stage::shot;

SceneFault audioFault(FaultKind kind, int atShot = 2) {
    SceneFault fault{};
    fault.kind = kind;
    fault.atShot = atShot;
    return fault;
}

SceneFault tableFault(FaultKind kind, int atMove = 2) {
    SceneFault fault{};
    fault.kind = kind;
    fault.atMove = atMove;
    return fault;
}

Scene with(const SceneFault& fault) {
    Scene scene = stage::scene();
    scene.faults = {fault};
    return scene;
}

using Channels = std::vector<std::vector<float>>;

/// Front alone, rear alone, on the axis, with a fault or without.
struct Heard {
    Channels front, rear;
};
Heard heardWith(const std::vector<SceneFault>& faults) {
    Scene scene = stage::scene();
    scene.faults = faults;
    Chamber c(stage::plan(), scene);
    return {c.play(shot({stage::frontChannel}, stage::sweep())).channels,
            c.play(shot({stage::rearChannel}, stage::sweep())).channels};
}

SceneFault ofSection(FaultKind kind, const std::string& section, const std::string& other = "") {
    SceneFault fault = audioFault(kind, 1);
    fault.times = 0;
    fault.section = section;
    fault.otherSection = other;
    return fault;
}

float peak(const std::vector<float>& x) {
    float largest = 0;
    for (const float v : x) largest = std::max(largest, std::abs(v));
    return largest;
}

std::vector<float> difference(const std::vector<float>& a, const std::vector<float>& b) {
    std::vector<float> out(a.size());
    for (std::size_t n = 0; n < a.size(); ++n) out[n] = a[n] - b[n];
    return out;
}

// ---- of the audio device ----

TEST(Fault, OfTheDeviceEndsTheShotWithItsOutcomeWithinHalfASecondAndTheNextIsDone) {
    for (const auto& [kind, outcome] : std::vector<std::pair<FaultKind, AudioOutcome>>{
             {FaultKind::droppedBlock, AudioOutcome::dropped},
             {FaultKind::deviceGone, AudioOutcome::gone},
             {FaultKind::stalled, AudioOutcome::stalled},
             {FaultKind::rateChange, AudioOutcome::rateChanged}}) {
        Chamber c(stage::plan(), with(audioFault(kind)));
        const AudioShot one = shot({stage::frontChannel}, stage::sweep());
        EXPECT_TRUE(c.play(one).done());
        const double begin = c.clock.nowS();
        const AudioTake take = c.play(one);
        EXPECT_EQ(take.outcome, outcome) << faultName(kind);
        EXPECT_TRUE(take.channels.empty()) << "nothing of it may be used";
        EXPECT_FALSE(take.what.empty());
        EXPECT_LE(c.clock.nowS() - begin, 40000 / rate + 0.5);
        EXPECT_TRUE(c.play(one).done());
    }
}

TEST(Fault, OfADeviceThatIsGoneLastsUntilItIsBack) {
    SceneFault fault = audioFault(FaultKind::deviceGone, 1);
    const AudioShot one = shot({stage::frontChannel}, stage::sweep());
    fault.times = 3;
    Chamber c(stage::plan(), with(fault));
    for (int i = 0; i < 3; ++i) EXPECT_EQ(c.play(one).outcome, AudioOutcome::gone);
    EXPECT_TRUE(c.play(one).done());
    fault.times = 0;
    Chamber forGood(stage::plan(), with(fault));
    for (int i = 0; i < 10; ++i) EXPECT_EQ(forGood.play(one).outcome, AudioOutcome::gone);
}

// ---- heard ----

TEST(Fault, OfADeadSectionIsSilence) {
    const Heard sound = heardWith({ofSection(FaultKind::sectionDead, "rear")});
    EXPECT_EQ(sound.front, heardWith({}).front);
    EXPECT_EQ(peak(sound.rear[0]), 0);
    EXPECT_GT(peak(sound.rear[1]), 0.1F) << "the loopback still hears the excitation";
}

TEST(Fault, OfAReversedSectionTurnsItsSignAndNoOther) {
    const Heard plain = heardWith({}), sound = heardWith({ofSection(FaultKind::sectionReversed, "rear")});
    EXPECT_EQ(sound.front, plain.front);
    for (std::size_t n = 0; n < plain.rear[0].size(); ++n) ASSERT_EQ(sound.rear[0][n], -plain.rear[0][n]);
}

TEST(Fault, OfSwappedSectionsGivesEachTheSoundOfTheOther) {
    const Heard plain = heardWith({});
    const Heard sound = heardWith({ofSection(FaultKind::sectionsSwapped, "front", "rear")});
    EXPECT_EQ(sound.front[0], plain.rear[0]);
    EXPECT_EQ(sound.rear[0], plain.front[0]);
}

TEST(Fault, OfABangOrABurstDisturbsPartOfTheSweepAtTheStatedLevel) {
    for (const auto& [kind, level] :
         std::vector<std::pair<FaultKind, double>>{{FaultKind::bang, 95}, {FaultKind::noiseBurst, 80}}) {
        SceneFault fault = audioFault(kind, 1);
        fault.amountDb = level;
        const auto added = difference(heardWith({fault}).front[0], heardWith({}).front[0]);
        std::vector<float> touched;
        for (const float x : added)
            if (std::abs(x) > 1e-9F) touched.push_back(x);
        EXPECT_GT(touched.size(), 1000U);
        EXPECT_LT(touched.size(), added.size() / 2);
        const double pascal = 20 * (kind == FaultKind::bang ? double{peak(added)} : stage::rms(touched));
        EXPECT_NEAR(stage::level(pascal / 20e-6), level, 0.2) << faultName(kind);
    }
}

TEST(Fault, OfAnUnpluggedLoopbackLeavesTheMicrophoneAlone) {
    const Heard plain = heardWith({}), sound = heardWith({audioFault(FaultKind::loopbackUnplugged, 1)});
    EXPECT_EQ(sound.front[0], plain.front[0]);
    EXPECT_EQ(peak(sound.front[1]), 0);
    EXPECT_EQ(sound.rear, plain.rear) << "it lasts one shot";
}

TEST(Fault, OfClippingStopsAtFullScale) {
    Scene scene = with(audioFault(FaultKind::clipping, 1));
    scene.converters.bits = 24;
    Chamber c(stage::plan(), scene);
    const auto heard = c.play(shot({stage::frontChannel}, stage::sweep())).channels[0];
    EXPECT_EQ(peak(heard), 1.0F);
    EXPECT_GT(std::count_if(heard.begin(), heard.end(), [](float x) { return std::abs(x) > 0.9999F; }), 20);
}

TEST(Fault, OfALevelTooHighIsLouderBySoMuch) {
    SceneFault fault = audioFault(FaultKind::levelTooHigh, 1);
    fault.amountDb = 14;
    const Heard sound = heardWith({fault}), plain = heardWith({});
    EXPECT_NEAR(stage::level(stage::rms(sound.front[0]) / stage::rms(plain.front[0])), 14, 1e-4);
    EXPECT_EQ(sound.front[1], plain.front[1]) << "the loopback carries the excitation itself";
}

TEST(Fault, OfLostSamplesMovesWhatFollowsOnAllInputs) {
    const Heard plain = heardWith({}), sound = heardWith({audioFault(FaultKind::samplesLost, 1)});
    for (std::size_t channel = 0; channel < 2; ++channel) {
        const auto &a = plain.front[channel], &b = sound.front[channel];
        ASSERT_EQ(a.size(), b.size());
        for (std::size_t n = 0; n < a.size() / 5; ++n) ASSERT_EQ(a[n], b[n]);
        for (std::size_t n = a.size() * 3 / 4; n + 64 < a.size(); ++n) ASSERT_NEAR(a[n + 64], b[n], 1e-7F);
    }
}

TEST(Fault, ComesAtAShotAnAngleOrALabel) {
    SceneFault byAngle = audioFault(FaultKind::loopbackUnplugged, 0);
    byAngle.atTableDeg = 30;
    SceneFault byLabel = audioFault(FaultKind::loopbackUnplugged, 0);
    byLabel.atLabel = "h+060/front/1";
    Scene scene = stage::scene();
    scene.faults = {byAngle, byLabel};
    Chamber c(stage::plan(), scene);
    const auto isUnplugged = [&](double deg, const std::string& label) {
        c.turn(deg);
        return peak(c.play(shot({}, stage::sweep(), 40000, label)).channels[1]) == 0;
    };
    EXPECT_FALSE(isUnplugged(0, "h+000/front/1"));
    EXPECT_TRUE(isUnplugged(30, "h+030/front/1"));
    EXPECT_FALSE(isUnplugged(30, "h+030/front/2")) << "once";
    EXPECT_TRUE(isUnplugged(60, "h+060/front/1"));
    EXPECT_FALSE(isUnplugged(60, "h+060/front/2"));
}

// ---- of the table ----

double realDeg(const Chamber& c) {
    return -c.chamber.truth().direction.azimuthDeg;
}

TEST(Fault, OfAStallLeavesTheTableOnItsWayAndTheNextMoveArrives) {
    Chamber c(stage::plan(), with(tableFault(FaultKind::tableStalls)));
    EXPECT_TRUE(c.turn(10).arrived());
    const TableResult result = c.turn(30);
    EXPECT_EQ(result.outcome, TableOutcome::stalled);
    EXPECT_NEAR(result.pose.tableDeg, 20, 1e-9);
    EXPECT_NEAR(realDeg(c), 20, 1e-9);
    EXPECT_TRUE(c.turn(30).arrived());
}

TEST(Fault, OfOvershootingOrFallingShortIsSeenWhereTheTableReadsBack) {
    for (const auto& [kind, stands] : std::vector<std::pair<FaultKind, double>>{
             {FaultKind::tableOvershoots, -33}, {FaultKind::tableMisses, -27}})
        for (const bool readsBack : {true, false}) {
            SceneFault fault = tableFault(kind);
            fault.amountDeg = 3;
            Scene scene = with(fault);
            scene.table.readsBack = readsBack;
            Chamber c(stage::plan(), scene);
            EXPECT_TRUE(c.turn(10).arrived());
            const TableResult result = c.turn(-30);
            EXPECT_EQ(result.outcome, readsBack ? TableOutcome::missed : TableOutcome::arrived);
            EXPECT_NEAR(result.pose.tableDeg, readsBack ? stands : -30, 1e-9);
            EXPECT_NEAR(realDeg(c), stands, 1e-9);
        }
}

TEST(Fault, OfSilenceOrLostPowerLeavesTheTableLostUntilItWasHome) {
    for (const FaultKind kind : {FaultKind::tableSilent, FaultKind::powerLoss}) {
        Chamber c(stage::plan(), with(tableFault(kind)));
        Turntable& table = c.chamber.turntable();
        EXPECT_TRUE(c.turn(10).arrived());
        const TableResult result = c.turn(30);
        EXPECT_EQ(result.outcome, TableOutcome::lost);
        EXPECT_TRUE(std::isnan(result.pose.tableDeg)) << "where it stands is not known";
        EXPECT_EQ(table.where().outcome, TableOutcome::lost);
        EXPECT_EQ(c.turn(30).outcome, TableOutcome::refused);
        EXPECT_TRUE(table.home({}).arrived());
        EXPECT_TRUE(c.turn(30).arrived());
    }
}

TEST(Fault, OfSilenceForGoodKeepsTheTableFromGoingHome) {
    SceneFault fault = tableFault(FaultKind::tableSilent);
    fault.times = 0;
    Chamber c(stage::plan(), with(fault));
    c.turn(10);
    EXPECT_EQ(c.turn(30).outcome, TableOutcome::lost);
    EXPECT_EQ(c.chamber.turntable().home({}).outcome, TableOutcome::lost);
    EXPECT_EQ(c.turn(30).outcome, TableOutcome::refused);
}

TEST(Fault, OfSlippingIsNotSeenByTheTableAndEndsAtHome) {
    SceneFault fault = tableFault(FaultKind::tableSlips);
    fault.amountDeg = 1.5;
    Chamber c(stage::plan(), with(fault));
    c.turn(10);
    EXPECT_NEAR(realDeg(c), 10, 1e-9);
    const TableResult result = c.turn(30);
    EXPECT_TRUE(result.arrived());
    EXPECT_EQ(result.pose.tableDeg, 30);
    EXPECT_NEAR(realDeg(c), 28.5, 1e-9);
    c.turn(-50);
    EXPECT_NEAR(realDeg(c), -51.5, 1e-9) << "it stays behind";
    EXPECT_TRUE(c.chamber.turntable().home({}).arrived());
    EXPECT_NEAR(realDeg(c), 0, 1e-9);
}

TEST(Fault, OfARefusedLimitLeavesTheTableWhereItWas) {
    Chamber c(stage::plan(), with(tableFault(FaultKind::limitRefused)));
    c.turn(10);
    const TableResult result = c.turn(30);
    EXPECT_EQ(result.outcome, TableOutcome::refused);
    EXPECT_EQ(result.pose.tableDeg, 10);
    EXPECT_TRUE(c.turn(30).arrived());
}

TEST(Fault, OfTheTableComesAtAnAngle) {
    SceneFault fault = tableFault(FaultKind::tableStalls, 0);
    fault.atTableDeg = 20;
    fault.times = 2;
    Chamber c(stage::plan(), with(fault));
    EXPECT_TRUE(c.turn(10).arrived());
    EXPECT_EQ(c.turn(20).outcome, TableOutcome::stalled);
    EXPECT_TRUE(c.turn(30).arrived());
    EXPECT_EQ(c.turn(20).outcome, TableOutcome::stalled);
    EXPECT_TRUE(c.turn(20).arrived());
}

}  // namespace
}  // namespace volvelle
