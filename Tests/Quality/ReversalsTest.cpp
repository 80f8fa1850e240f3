#include "Quality/Judge.h"
#include "Quality/Synthetic.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace volvelle {
namespace {

using testing::AllOf;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

/// What is heard of a capture; sign turns all of it, lowSign only what is below 2 kHz and not the first
/// arrival.
Judgement heard(double sign, float lowSign = 1, std::uint32_t seed = 0) {
    Judgement j;
    j.polarity = sign;
    j.direct.thirdOctaveDb.assign(21, 60);
    std::mt19937 random(seed);
    std::normal_distribution<float> noise(0, 0.1F);
    for (const double f : directGridHz()) {
        const std::complex<float> value(1 + noise(random), 0.5F + noise(random));
        j.direct.spectrum.push_back(value * static_cast<float>(sign) * (f < 2000 ? lowSign : 1.0F));
    }
    return j;
}

/// Captures of one drive and what is heard of each.
struct Drive {
    DriveRecord record;
    std::vector<Judgement> judgements;

    Drive() { record.name = "front"; }

    void add(Orbit orbit, double angleDeg, const Judgement& judgement, int repeat = 1) {
        Capture c;
        c.orbit = orbit;
        c.angleDeg = angleDeg;
        c.direction = directionOn(orbit, angleDeg);
        c.stance = orbit == Orbit::horizontal ? Stance::upright : Stance::onSide;
        c.repeat = repeat;
        record.captures.push_back(c);
        judgements.push_back(judgement);
    }

    /// Both orbits every stepDeg.
    void addOrbits(double stepDeg, const std::function<Judgement(double angleDeg)>& heardAt) {
        for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
            for (double a = -180 + stepDeg; a <= 180; a += stepDeg) add(orbit, a, heardAt(a));
    }

    std::vector<std::string> remarks() const { return remarkOnReversals(record, judgements); }
};

TEST(Reversal, OfOneCaptureAmongItsNeighboursIsRemarkedAndIsNoDoubt) {
    for (const int which :
         {0, 7, 17, 18, 35, 36, 71}) {  // the ends of an orbit have neighbours too: it is closed
        Drive drive;
        drive.addOrbits(10, [](double) { return heard(1); });
        drive.judgements[static_cast<std::size_t>(which)] = heard(-1, 1, 5);
        const Capture& capture = drive.record.captures[static_cast<std::size_t>(which)];
        EXPECT_THAT(drive.remarks(), ElementsAre(AllOf(HasSubstr("front: upside down against its neighbours"),
                                                       HasSubstr(positionName(capture) + ";"))));
        EXPECT_EQ(capture.state, CaptureState::kept);
    }
}

TEST(Reversal, OfAWholeSideIsTheUnitsOwn) {
    Drive drive;
    drive.addOrbits(10, [](double a) { return heard(std::abs(a) > 90 ? -1 : 1); });
    EXPECT_THAT(drive.remarks(), IsEmpty());
    Drive alike;
    alike.addOrbits(10, [](double) { return heard(-1); });
    EXPECT_THAT(alike.remarks(), IsEmpty());
}

TEST(Reversal, OfTheFirstArrivalAloneSaysNothing) {
    Drive drive;
    drive.addOrbits(10, [](double) { return heard(1); });
    drive.judgements[4] = heard(-1, -1);  // low frequencies as its neighbours
    EXPECT_THAT(drive.remarks(), IsEmpty());
    drive.judgements[4] = heard(1, -1);  // and the other way round
    EXPECT_THAT(drive.remarks(), IsEmpty());
    drive.judgements[4] = heard(-1);
    drive.judgements[4].polarity = notStated;
    EXPECT_THAT(drive.remarks(), IsEmpty());
}

TEST(Reversal, NeedsNeighboursOnBothSidesWithin30Degrees) {
    Drive half;
    for (const double a : {0.0, 10.0, 20.0}) half.add(Orbit::horizontal, a, heard(a == 0 ? -1 : 1));
    EXPECT_THAT(half.remarks(), IsEmpty());
    Drive sparse;
    for (const double a : {0.0, 120.0, -120.0}) sparse.add(Orbit::horizontal, a, heard(a == 0 ? -1 : 1));
    EXPECT_THAT(sparse.remarks(), IsEmpty());
    Drive pair;  // two neighbours that are both turned are no lone ones
    pair.addOrbits(10, [](double a) { return heard(a == 20 || a == 30 ? -1 : 1); });
    EXPECT_THAT(pair.remarks(), IsEmpty());
}

TEST(Reversal, AmongRepeatsIsThatOfTheOneThatTheOthersOppose) {
    Drive drive;
    for (const int repeat : {1, 2, 3}) drive.add(Orbit::horizontal, 50, heard(repeat == 2 ? -1 : 1), repeat);
    EXPECT_THAT(drive.remarks(), ElementsAre(HasSubstr("horizontal:50 (repeat 2)")));
    drive.record.captures[1].state = CaptureState::superseded;
    EXPECT_THAT(drive.remarks(), IsEmpty());
}

TEST(Reversal, OfOneOfTwoRepeatsIsDecidedByTheNeighbours) {
    Drive drive;
    drive.addOrbits(10, [](double) { return heard(1); });
    drive.add(Orbit::horizontal, 50, heard(-1), 2);
    EXPECT_THAT(drive.remarks(), ElementsAre(AllOf(HasSubstr("upside down against its neighbours"),
                                                   HasSubstr("horizontal:50 (repeat 2)"))));
    Drive alone;
    alone.add(Orbit::horizontal, 50, heard(1), 1);
    alone.add(Orbit::horizontal, 50, heard(-1), 2);
    EXPECT_THAT(alone.remarks(), ElementsAre(HasSubstr("two captures of one position are upside down")));
}

TEST(Reversal, IsOnlyKnownWithAJudgementForEachCapture) {
    Drive drive;
    drive.add(Orbit::horizontal, 0, heard(1));
    drive.judgements.clear();
    EXPECT_THROW(drive.remarks(), Error);
}

TEST(Reversal, IsHeardInRecordings) {
    using namespace synthetic;
    Scene scene;
    scene.sweepS = 1;
    Drive drive;
    drive.record = scene.drive();
    drive.record.name = "front";
    const Judge judge(drive.record, scene.calibration());
    for (const double a : {-20.0, -10.0, 0.0, 10.0, 20.0}) {
        // The path to the microphone grows with the angle; one capture is turned.
        const Response plain = delayed(72, 0.0058 + 2e-6 * std::abs(a));
        auto samples = scene.through([&](double f) { return (a == 10 ? -1.0 : 1.0) * plain(f); });
        addNoise(samples, noiseDeviation(scene, 25), static_cast<std::uint64_t>(a + 100));
        const Recorded r = recorded(samples);
        drive.add(Orbit::horizontal, a, judge.judge(r.samples, {}, {r.raw, 24}));
    }
    EXPECT_NEAR(lowFrequencyAgreement(drive.judgements[0].direct, drive.judgements[1].direct), 1, 0.01);
    EXPECT_NEAR(lowFrequencyAgreement(drive.judgements[3].direct, drive.judgements[1].direct), -1, 0.01);
    EXPECT_THAT(drive.remarks(),
                ElementsAre(AllOf(HasSubstr("horizontal:10;"), Not(HasSubstr("horizontal:0")))));
}

TEST(Reversals, NeedNoSoundButThatOfCapturesThatAreHeldAgainstOthers) {
    Drive drive;
    drive.addOrbits(10, [](double angleDeg) { return heard(angleDeg == 40 ? -1 : 1); });
    for (std::size_t i = 0; i < drive.record.captures.size(); ++i)
        drive.record.captures[i].quality.polarity = drive.judgements[i].polarity;
    const auto all = drive.remarks();
    EXPECT_FALSE(all.empty());
    std::size_t needed = 0;
    for (std::size_t i = 0; i < drive.record.captures.size(); ++i) {
        if (isHeldAgainstOthers(drive.record, i))
            ++needed;
        else
            drive.judgements[i].direct = {};
    }
    EXPECT_EQ(drive.remarks(), all);
    EXPECT_EQ(needed, 14U);  // 40° and three on each side, on two orbits
}

}  // namespace
}  // namespace volvelle
