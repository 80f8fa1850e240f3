#include "Families/CurveTable.h"
#include "Families/MakeFamily.h"
#include "Families/ToyUnit.h"
#include "Response/KeptImpulses.h"
#include "Signal/FrequencyGrid.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>

namespace volvelle {
namespace {

using toy::familyOf;
using toy::quickRecipe;
using toy::twoSources;

constexpr double mapDb = 1e-5;  // maps are kept in single precision

void expectNear(const Family& a, const Family& b, double toleranceDb, double shiftDb = 0) {
    ASSERT_EQ(a.curves.size(), b.curves.size());
    for (std::size_t c = 0; c < a.curves.size(); ++c) {
        const double shift = a.curves[c].unit == CurveUnit::directivityDb ? 0 : shiftDb;
        for (std::size_t i = 0; i < a.frequencyHz.size(); ++i)
            EXPECT_NEAR(b.curves[c].levelDb[i], a.curves[c].levelDb[i] + shift, toleranceDb)
                << a.curves[c].key;
    }
}

TEST(Family, IsThePlainComputationFromTheTableOfTheStandard) {
    for (const bool areas : {true, false}) {
        Recipe recipe = quickRecipe();
        recipe.powerWeights = areas ? Recipe::PowerWeights::areas : Recipe::PowerWeights::eachCurveOnce;
        const Family family = familyOf(toy::orbitRun(), twoSources, recipe);
        EXPECT_EQ(family.frequencyHz, logarithmicGrid(125, 16000, 3));
        for (std::size_t i = 0; i < family.frequencyHz.size(); i += 3) {
            std::map<table::Angle, double> power;
            for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
                for (int t = -170; t <= 180; t += 10)
                    power[{orbit, t}] =
                        toy::plainPower(twoSources, directionOn(orbit, t), family.frequencyHz[i]);
            std::map<std::string, double> mean;
            for (const auto& [key, weights] : table::curves(areas)) {
                for (const auto& [angle, weight] : weights) mean[key] += weight * power.at(angle);
                EXPECT_NEAR(curveNamed(family, key).levelDb[i], toy::levelDb(mean[key]), 1e-5) << key;
            }
            const auto level = [&](const char* key) { return curveNamed(family, key).levelDb[i]; };
            const auto ratioDb = [&](const char* a, const char* b) {
                return 10 * std::log10(mean[a] / mean[b]);
            };
            EXPECT_NEAR(level("early_reflections_di"), ratioDb("listening_window", "early_reflections"),
                        1e-5);
            EXPECT_NEAR(level("sound_power_di"), ratioDb("listening_window", "sound_power"), 1e-5);
            EXPECT_NEAR(level("estimated_in_room"),
                        toy::levelDb(0.12 * mean["listening_window"] + 0.44 * mean["early_reflections"] +
                                     0.44 * mean["sound_power"]),
                        1e-5);
        }
    }
}

TEST(Family, OfEqualPositionsHasEqualMeansAndIndicesOfZero) {
    const Family family = familyOf(
        toy::orbitRun(), [](const Direction&, double t) { return twoSources({}, t); }, quickRecipe());
    const auto& axis = curveNamed(family, "on_axis").levelDb;
    for (const Curve& curve : family.curves)
        for (std::size_t i = 0; i < axis.size(); ++i) {
            if (curve.unit == CurveUnit::pressureLevelDb) {
                EXPECT_NEAR(curve.levelDb[i], axis[i], 1e-9) << curve.key;
            }
            if (curve.unit == CurveUnit::directivityDb) {
                EXPECT_NEAR(curve.levelDb[i], 0, 1e-9) << curve.key;
            }
        }
    for (const double width : family.horizontal.beamwidthDeg) EXPECT_TRUE(std::isinf(width));
}

TEST(Family, OfAUnitTurnedByRelabellingIsTheFamilyOfItsOtherAxis) {
    Recipe rear = quickRecipe();
    rear.axisDeg = 180;
    const Family fromBehind = familyOf(toy::orbitRun(), twoSources, rear);
    const Family turned = familyOf(
        toy::orbitRun(), [](const Direction& d, double t) { return twoSources(relativeTo(180, d), t); },
        quickRecipe());
    expectNear(fromBehind, turned, 1e-9);
    EXPECT_EQ(fromBehind.axisDeg, 180);
    ASSERT_EQ(fromBehind.horizontal.angleDeg, turned.horizontal.angleDeg);
    for (std::size_t a = 0; a < 36; ++a) {
        EXPECT_NEAR(fromBehind.horizontal.levelDb[a][7], turned.horizontal.levelDb[a][7], mapDb);
        EXPECT_NEAR(fromBehind.vertical.levelDb[a][7], turned.vertical.levelDb[a][7], mapDb);
    }
    // And it is another one than the front's.
    const Family front = familyOf(toy::orbitRun(), twoSources, quickRecipe());
    EXPECT_GT(std::abs(curveNamed(front, "on_axis").levelDb[10] - curveNamed(turned, "on_axis").levelDb[10]),
              1);
}

TEST(Family, OfAMirroredUnitIsTheSameWithItsMapMirrored) {
    const Family plain = familyOf(toy::orbitRun(), twoSources, quickRecipe());
    const Family mirrored = familyOf(
        toy::orbitRun(),
        [](const Direction& d, double t) { return twoSources(direction(-d.azimuthDeg, d.elevationDeg), t); },
        quickRecipe());
    expectNear(plain, mirrored, 1e-9);
    for (int t = -170; t < 180; t += 10) {
        const auto here = static_cast<std::size_t>(t / 10 + 17),
                   there = static_cast<std::size_t>(-t / 10 + 17);
        EXPECT_NEAR(plain.horizontal.levelDb[here][5], mirrored.horizontal.levelDb[there][5], mapDb);
    }
}

TEST(Family, OfAUnitTwiceAsStrongLies602DbHigherAndItsIndicesStay) {
    const Family plain = familyOf(toy::orbitRun(), twoSources, quickRecipe());
    const Family twice = familyOf(
        toy::orbitRun(), [](const Direction& d, double t) { return 2 * twoSources(d, t); }, quickRecipe());
    expectNear(plain, twice, 1e-9, 20 * std::log10(2));
}

/// The same bits, not a number included.
template <typename Number>
bool sameBits(const std::vector<Number>& a, const std::vector<Number>& b) {
    return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(Number)) == 0;
}

void expectSameCurves(const Family& a, const Family& b) {
    ASSERT_EQ(a.curves.size(), b.curves.size());
    for (std::size_t c = 0; c < a.curves.size(); ++c)
        EXPECT_TRUE(sameBits(a.curves[c].levelDb, b.curves[c].levelDb)) << a.curves[c].key;
    for (std::size_t angle = 0; angle < a.vertical.angleDeg.size(); ++angle)
        EXPECT_TRUE(sameBits(a.vertical.levelDb[angle], b.vertical.levelDb[angle]));
    EXPECT_TRUE(sameBits(a.horizontal.beamwidthDeg, b.horizontal.beamwidthDeg));
}

TEST(Family, OfOneThreadIsThatOfTwoOrFiveBitForBit) {
    Recipe smooth = quickRecipe();
    smooth.smoothing = 3;
    for (const Recipe& recipe : {quickRecipe(), smooth}) {
        const Family one = familyOf(toy::orbitRun(), twoSources, recipe, 1);
        for (const int jobs : {2, 5}) {
            const Family many = familyOf(toy::orbitRun(), twoSources, recipe, jobs);
            expectSameCurves(one, many);
            EXPECT_TRUE(sameBits(one.onAxisPhaseDeg, many.onAxisPhaseDeg));
            EXPECT_TRUE(sameBits(one.onAxisGroupDelayS, many.onAxisGroupDelayS));
        }
    }
}

TEST(Family, OfKeptImpulsesIsThatOfTheRunBitForBitForEveryDrive) {
    RunRecord record = toy::orbitRun();
    record.drives.push_back(toy::impulseDrive("rear", toy::twoOrbits(10), 1024));
    const toy::SealedToy run(record, [](const DriveRecord& drive, const Capture& c, std::span<float> out) {
        for (std::size_t n = 0; n < out.size(); ++n)
            out[n] = static_cast<float>(
                twoSources(drive.name == "front" ? c.direction : relativeTo(180, c.direction),
                           static_cast<double>(n) / toy::rate));
    });
    const KeptImpulses front(*run, 0, 2), rear(*run, 1, 1);
    const std::array<const KeptImpulses*, 2> both{&front, &rear};
    for (const int jobs : {1, 2}) {
        const auto families = makeFamilies(both, quickRecipe(), jobs);
        ASSERT_EQ(families.size(), 2u);
        expectSameCurves(makeFamily(*run, "front", quickRecipe(), 1), families[0]);
        expectSameCurves(makeFamily(*run, "rear", quickRecipe(), 1), families[1]);
    }
}

TEST(Family, OfFiveDegreeOrbitsKeepsItsTenDegreeCurvesAndAddsThePowerOfAllAngles) {
    const Family coarse = familyOf(toy::orbitRun(10), twoSources, quickRecipe());
    const Family fine = familyOf(toy::orbitRun(5), twoSources, quickRecipe());
    for (const Curve& curve : coarse.curves)
        for (std::size_t i = 0; i < curve.levelDb.size(); ++i)
            EXPECT_NEAR(curveNamed(fine, curve.key).levelDb[i], curve.levelDb[i], 1e-9) << curve.key;
    const Curve& all = curveNamed(fine, "sound_power_all_angles");
    EXPECT_EQ(all.positions.size(), 142u);
    // Rings of CTA-2034-A appendix C of 5°: S(a) = 4 asin(sin² a), beyond 90° 4π less its mirror.
    const auto solid = [](double deg) {
        const double a = std::clamp(deg, 0.0, 180.0) * M_PI / 180,
                     s = 4 * std::asin(std::pow(std::sin(a), 2));
        return deg <= 90 ? s : 4 * M_PI - s;
    };
    for (std::size_t i = 0; i < fine.frequencyHz.size(); i += 5) {
        double power = 0;
        for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
            for (int t = -175; t <= 180; t += 5) {
                const double ring = std::abs(t), halfArcs = t == 0 || t == 180 ? 2 : 1;  // here of one orbit
                power += halfArcs * (solid(ring + 2.5) - solid(ring - 2.5)) / (16 * M_PI) *
                         toy::plainPower(twoSources, directionOn(orbit, t), fine.frequencyHz[i]);
            }
        EXPECT_NEAR(all.levelDb[i], toy::levelDb(power), 1e-5);
    }
    EXPECT_EQ(std::count_if(coarse.curves.begin(), coarse.curves.end(),
                            [](const Curve& c) { return c.key == "sound_power_all_angles"; }),
              0);
}

}  // namespace
}  // namespace volvelle
