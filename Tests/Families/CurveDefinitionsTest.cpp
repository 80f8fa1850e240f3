#include "Families/CurveDefinitions.h"
#include "Families/CurveTable.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <utility>

namespace volvelle {
namespace {

using Reading = Recipe::PowerWeights;

std::map<std::pair<Orbit, double>, double> weightsOf(const CurveDefinition& d) {
    std::map<std::pair<Orbit, double>, double> weights;
    for (const WeightedAngle& a : d.angles) {
        EXPECT_TRUE(weights.emplace(std::pair(a.orbit, a.angleDeg), a.weight).second)
            << d.key << " names " << a.angleDeg << " twice";
    }
    return weights;
}

const CurveDefinition& named(const std::vector<CurveDefinition>& all, const std::string& key) {
    for (const CurveDefinition& d : all)
        if (d.key == key) return d;
    throw std::runtime_error("no curve " + key);
}

TEST(CurveDefinitions, AreThoseOfTheTableOfTheStandard) {
    for (const Reading reading : {Reading::areas, Reading::eachCurveOnce}) {
        const auto definitions = curveDefinitions(reading);
        const auto expected = table::curves(reading == Reading::areas);
        EXPECT_EQ(definitions.size(), expected.size());
        for (const auto& [key, weights] : expected) {
            const auto found = weightsOf(named(definitions, key));
            EXPECT_EQ(found.size(), weights.size()) << key;
            for (const auto& [angle, weight] : weights) {
                ASSERT_TRUE(found.count(angle)) << key << " lacks " << angle.second;
                // The table of appendix C has nine decimals; the poles count four times.
                EXPECT_NEAR(found.at(angle), weight, key == "sound_power" ? 5e-9 : 1e-15)
                    << key << angle.second;
            }
        }
    }
}

TEST(CurveDefinitions, HaveWeightsThatAddUpToOneAndAreSymmetricLeftAndRight) {
    auto all = curveDefinitions(Reading::areas);
    for (const Reading reading : {Reading::areas, Reading::eachCurveOnce})
        for (const double step : {5.0, 2.5, 2.0, 1.0, 3.0})
            all.push_back(soundPowerOfAllAngles(step, reading));
    for (const CurveDefinition& d : all) {
        const auto weights = weightsOf(d);
        double sum = 0;
        for (const auto& [angle, weight] : weights) {
            sum += weight;
            EXPECT_GT(weight, 0);
            if (angle.first == Orbit::horizontal && angle.second != 0 && angle.second != 180) {
                EXPECT_EQ(weight, weights.at({Orbit::horizontal, -angle.second})) << d.key;
            }
        }
        EXPECT_NEAR(sum, 1, 1e-12) << d.key;
        EXPECT_FALSE(d.title.empty());
    }
}

TEST(SoundPowerDefinition, NamesSeventyCurvesAtTenDegreesAndAllAnglesAtFive) {
    EXPECT_EQ(named(curveDefinitions(Reading::areas), "sound_power").angles.size(), 70u);
    EXPECT_EQ(soundPowerOfAllAngles(5, Reading::areas).angles.size(), 142u);
    EXPECT_EQ(soundPowerOfAllAngles(2, Reading::areas).angles.size(), 358u);
}

}  // namespace
}  // namespace volvelle
