#include "Sections/HandMade.h"
#include "Sections/Interaction.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace volvelle {
namespace {

using handmade::lopsided;
using handmade::otherOne;

std::complex<double> both(const Direction& d, double f) {
    return lopsided(d, f) + otherOne(d, f);
}

Interaction neutral(const HeldSections& held) {
    return interactionOf(held, std::vector<SectionSetting>(held.parts.size()));
}

double loudest(const handmade::Field& field, const HeldSections& held, double f) {
    double most = 0;
    for (const MeasuredPosition& p : held.positions) most = std::max(most, std::abs(field(p.direction, f)));
    return most;
}

const SummedCurve& curve(const Interaction& i, const std::string& key) {
    for (const SummedCurve& c : i.curves)
        if (c.key == key) return c;
    throw std::out_of_range(key);
}

TEST(Interaction, OfAWholeThatIsTheSumOfItsPartsIsNothing) {
    const Interaction i = neutral(handmade::sections({{"front", lopsided}, {"rear", otherOne}}, both));
    for (const SummedPosition& p : i.positions)
        for (std::size_t f = 0; f < i.frequencyHz.size(); ++f) {
            EXPECT_LT(p.differenceDb[f], -300) << p.at.name;
            EXPECT_NEAR(p.levelDifferenceDb[f], 0, 1e-12);
            EXPECT_NEAR(p.phaseDifferenceDeg[f], 0, 1e-10);
        }
    for (const SummedCurve& c : i.curves)
        for (std::size_t f = 0; f < i.frequencyHz.size(); ++f)
            EXPECT_NEAR(c.wholeDb[f], c.sumDb[f], 1e-9) << c.key;
    EXPECT_FALSE(i.isTrial());
}

TEST(Interaction, IsWhatWasPutIn) {
    const auto extra = [](const Direction& d, double f) {
        return std::polar(0.01 + 0.004 * unitVector(d)[1], f / 700);
    };
    const auto whole = [&](const Direction& d, double f) { return both(d, f) + extra(d, f); };
    const HeldSections held = handmade::sections({{"front", lopsided}, {"rear", otherOne}}, whole);
    const Interaction i = neutral(held);
    for (const SummedPosition& p : i.positions)
        for (std::size_t k = 0; k < i.frequencyHz.size(); ++k) {
            const double f = i.frequencyHz[k];
            const Direction& d = p.at.direction;
            EXPECT_NEAR(p.differenceDb[k], 20 * std::log10(std::abs(extra(d, f)) / loudest(whole, held, f)),
                        1e-9);
            const auto quotient = whole(d, f) / both(d, f);
            if (std::isnan(p.levelDifferenceDb[k])) continue;
            EXPECT_NEAR(p.levelDifferenceDb[k], 20 * std::log10(std::abs(quotient)), 1e-9);
            EXPECT_NEAR(p.phaseDifferenceDeg[k], std::arg(quotient) * 180 / std::numbers::pi, 1e-9);
        }
}

TEST(Interaction, WorstIsThePlantedPlaceAndFrequencyOfEachOctave) {
    const auto whole = [](const Direction& d, double f) {
        const bool here = sameDirection(d, directionOn(Orbit::vertical, -40)) && f == 3000;
        return both(d, f) + (here ? 0.05 : 0.001);
    };
    const auto worst =
        differencePerOctave(neutral(handmade::sections({{"front", lopsided}, {"rear", otherOne}}, whole)));
    bool seen = false;
    for (const BandDifference& w : worst) {
        if (w.lowHz > 3000 || w.highHz <= 3000) continue;
        seen = true;
        EXPECT_EQ(w.position, "vertical:-40");
        EXPECT_EQ(w.frequencyHz, 3000);
        EXPECT_LT(w.rmsDb, w.largestDb);
    }
    EXPECT_TRUE(seen);
    EXPECT_EQ(worst.size(), 6u);  // each of the six frequencies lies in an octave of its own
}

TEST(Interaction, PerOctaveIsTheRootOfTheMeanSquareOverDirections) {
    const auto extra = [](const Direction& d, double) { return 0.01 + 0.005 * unitVector(d)[2]; };
    const auto whole = [](const Direction&, double) { return 1.0; };
    const auto part = [&](const Direction& d, double f) { return 0.5 * (whole(d, f) - extra(d, f)); };
    HeldSections held = handmade::sections({{"a", part}, {"b", part}}, whole);
    for (HeldDrive* d : {&held.parts[0], &held.parts[1], &held.whole})
        d->noise.assign(d->pressure.size(), 1e-6);
    double squares = 0;
    for (const MeasuredPosition& p : held.positions) squares += std::pow(extra(p.direction, 0), 2) / 72;
    for (const BandDifference& band : differencePerOctave(neutral(held))) {
        EXPECT_NEAR(band.rmsDb, 10 * std::log10(squares), 1e-9);
        EXPECT_NEAR(band.floorRmsDb, 10 * std::log10(3e-6), 1e-9);
        EXPECT_NEAR(band.largestDb, 20 * std::log10(0.015), 1e-9);
        EXPECT_EQ(band.position, "vertical:90");
    }
}

TEST(Interaction, LeavesDecibelsAndDegreesBlankWhereTheWholeIsThirtyDecibelsDown) {
    const auto dim = [](const Direction& d, double) { return unitVector(d)[0] < -0.9 ? 0.01 : 1.0; };
    const Interaction i = neutral(handmade::sections({{"a", dim}, {"b", dim}}, dim));
    for (const SummedPosition& p : i.positions) {
        const bool isDim = unitVector(p.at.direction)[0] < -0.9;
        EXPECT_EQ(std::isnan(p.levelDifferenceDb[0]), isDim) << p.at.name;
        EXPECT_EQ(std::isnan(p.phaseDifferenceDeg[0]), isDim) << p.at.name;
        EXPECT_TRUE(std::isfinite(p.differenceDb[0])) << p.at.name;
    }
}

TEST(Interaction, NamesWhichDriveLacksAPositionAndBlanksIt) {
    HeldSections held = handmade::sections({{"front", lopsided}, {"rear", otherOne}}, both);
    held.parts[1].present[3] = 0;
    held.whole.present[5] = 0;
    const Interaction i = neutral(held);
    EXPECT_THAT(i.positions[3].missing, testing::HasSubstr("rear"));
    EXPECT_TRUE(std::isnan(i.positions[3].sumDb[0]));
    EXPECT_TRUE(std::isnan(i.positions[3].differenceDb[0]));
    EXPECT_TRUE(std::isfinite(i.positions[3].wholeDb[0]));
    EXPECT_THAT(i.positions[5].missing, testing::HasSubstr("whole"));
    EXPECT_TRUE(std::isfinite(i.positions[5].sumDb[0]));
    EXPECT_TRUE(std::isnan(i.positions[5].wholeDb[0]));
    EXPECT_EQ(i.positions[4].missing, "");
    EXPECT_THAT(curve(i, "sound_power").missing, testing::HasSubstr("whole: not measured"));
}

TEST(Interaction, HoldsOnlyWhereAllDrivesWereExcited) {
    HeldSections held = handmade::sections({{"front", lopsided}, {"rear", otherOne}}, both);
    held.head.validity.excited = {300, 5000};
    const Interaction i = neutral(held);
    for (std::size_t k = 0; k < i.frequencyHz.size(); ++k) {
        const bool in = i.frequencyHz[k] >= 300 && i.frequencyHz[k] <= 5000;
        EXPECT_EQ(std::isfinite(i.positions[0].wholeDb[k]), in);
        EXPECT_EQ(std::isfinite(i.positions[0].differenceDb[k]), in);
        EXPECT_EQ(std::isfinite(curve(i, "listening_window").sumDb[k]), in);
    }
}

TEST(Interaction, FloorIsReTheLoudestDirectionAndFollowsTheSettings) {
    HeldSections held = handmade::sections({{"front", lopsided}, {"rear", otherOne}}, both);
    for (HeldDrive* d : {&held.parts[0], &held.parts[1], &held.whole})
        d->noise.assign(d->pressure.size(), 1e-6);
    const Interaction i = neutral(held);
    const double most = loudest(both, held, 1000);
    EXPECT_NEAR(i.positions[7].floorDb[3], 10 * std::log10(3e-6 / (most * most)), 1e-9);
    const Interaction quieter = interactionOf(held, std::vector<SectionSetting>{{-200, 0, false}, {}});
    EXPECT_NEAR(quieter.positions[7].floorDb[3], 10 * std::log10(2e-6 / (most * most)), 1e-9);
    EXPECT_TRUE(quieter.isTrial());
    EXPECT_THAT(i.floorStatement, testing::HasSubstr("made of noise, air"));
    EXPECT_THAT(i.floorStatement, testing::HasSubstr("not known of every drive: repeats, drift"));
}

TEST(Interaction, NoiseThatIsNotKnownAtAPositionAddsNothingThereAndIsSaid) {
    HeldSections held = handmade::sections({{"front", lopsided}, {"rear", otherOne}}, both);
    for (HeldDrive* d : {&held.parts[0], &held.parts[1], &held.whole})
        d->noise.assign(d->pressure.size(), 1e-6);
    for (std::size_t f = 0; f < 6; ++f) held.parts[0].noise[7 * 6 + f] = notStated;
    const Interaction i = neutral(held);
    EXPECT_NEAR(i.positions[8].floorDb[3] - i.positions[7].floorDb[3], 10 * std::log10(1.5), 1e-9);
    EXPECT_THAT(i.floorStatement, testing::HasSubstr("not known of every drive: noise"));
}

TEST(Interaction, FloorTakesEachAxisCheckWithItsOwnTime) {
    const auto unit = [](const Direction&, double) { return 1.0; };
    HeldSections held = handmade::sections({{"a", unit}, {"b", unit}}, unit);
    for (double& t : held.parts[0].timeS) t = 100;
    const auto drift = [&](double departure, double spanS) {
        return DriftComparison{std::vector<double>(held.grids.computedHz.size(), departure), spanS};
    };
    // 1e-4 in 100 s, and back to 1e-6 in 1000 s: of 100 s all of the first is left.
    held.parts[0].drifts = {drift(1e-4, 100), drift(1e-6, 1000)};
    EXPECT_NEAR(neutral(held).positions[0].floorDb[2], -40, 1e-9);
    held.parts[0].drifts = {drift(1e-6, 1000)};
    EXPECT_NEAR(neutral(held).positions[0].floorDb[2], -80, 1e-9);
}

TEST(Interaction, OfAirThatWarmedByOneKelvinLiesAtTheFloor) {
    // The front section is measured 1 K warmer: its sound arrives earlier by 2πfτ·ΔT/(2T).
    const auto early = [](const Direction& d, double f) {
        return lopsided(d, f) * std::polar(1.0, 2 * std::numbers::pi * f * 9.94e-6);
    };
    HeldSections held = handmade::sections({{"front", early}, {"rear", otherOne}}, both);
    for (double& t : held.parts[0].temperatureC) t = 20.5;
    for (double& t : held.whole.temperatureC) t = 19.5;
    for (double& t : held.parts[1].temperatureC) t = 19.5;
    const Interaction i = neutral(held);
    for (const SummedPosition& p : i.positions)
        for (std::size_t k = 0; k < i.frequencyHz.size(); ++k)
            EXPECT_NEAR(p.differenceDb[k], p.floorDb[k], 0.01) << p.at.name << " " << i.frequencyHz[k];
}

TEST(Interaction, DerivedCurvesAreMadeOfTheSums) {
    const Interaction i = neutral(handmade::sections({{"front", lopsided}, {"rear", otherOne}}, both));
    const SummedCurve& index = curve(i, "sound_power_di");
    for (std::size_t k = 0; k < i.frequencyHz.size(); ++k)
        EXPECT_NEAR(index.powerSumDb[k],
                    curve(i, "listening_window").powerSumDb[k] - curve(i, "sound_power").powerSumDb[k], 1e-9);
}

}  // namespace
}  // namespace volvelle
