#include "turntable/Dialect.h"
#include "turntable/Seeded.h"
#include "turntable/TurningPath.h"

#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {

namespace {

TurningRules randomRules(Seeded& seeded) {
    TurningRules rules;
    rules.lowestDeg = seeded.between(-400, -1);
    rules.highestDeg = seeded.between(1, 400);
    rules.approach = static_cast<ApproachSide>(seeded.below(3));
    rules.approachDeg = seeded.between(0.1, 10);
    rules.goesShortWay = seeded.below(2) == 1;
    return rules;
}

/// Where a table ends that takes the shorter way round to an angle, whatever was wound up.
double afterShortWay(double fromDeg, double toDeg) {
    return fromDeg + std::remainder(toDeg - fromDeg, 360);
}

TEST(TurningPath, NoCommandedPathLeavesTheLimitsAndNoCableWindsUp) {
    Seeded seeded(20261126);
    int legs = 0;
    for (int visit = 0; visit < 500; ++visit) {
        const TurningRules rules = randomRules(seeded);
        double at = 0, wound = 0;
        for (int move = 0; move < 20; ++move) {
            const double target =
                seeded.below(8) == 0 ? rules.lowestDeg : seeded.between(rules.lowestDeg, rules.highestDeg);
            for (const double leg : legsOf(at, target, rules)) {
                ++legs;
                ASSERT_TRUE(rules.contains(leg)) << "visit " << visit << " of seed 20261126";
                wound = rules.goesShortWay ? afterShortWay(wound, leg) : leg;
                ASSERT_NEAR(wound, leg, 1e-6) << "the table went the other way round: visit " << visit;
                at = leg;
            }
            ASSERT_EQ(at, target);
        }
    }
    EXPECT_GT(legs, 10000);
}

TEST(TurningPath, TheLastOfTheWayComesFromTheWantedSide) {
    Seeded seeded(7);
    for (int i = 0; i < 5000; ++i) {
        const TurningRules rules = randomRules(seeded);
        const double from = seeded.between(rules.lowestDeg, rules.highestDeg);
        const double to = seeded.between(rules.lowestDeg, rules.highestDeg);
        const auto legs = legsOf(from, to, rules);
        const double before = legs.size() > 1 ? legs[legs.size() - 2] : from;
        if (rules.approach == ApproachSide::either) continue;
        const double way = rules.approach == ApproachSide::fromBelow ? to - before : before - to;
        const double room =
            rules.approach == ApproachSide::fromBelow ? to - rules.lowestDeg : rules.highestDeg - to;
        EXPECT_GE(way, std::min(rules.approachDeg, room) - 1e-9) << "draw " << i << " of seed 7";
    }
}

TEST(CountForm, AnglesComeBackWithinHalfOfWhatCanBeSent) {
    Seeded seeded(3);
    for (int i = 0; i < 5000; ++i) {
        CountForm form;
        form.degreesPerCount = std::pow(10, seeded.between(-4, 0.5));
        form.sign = seeded.below(2) == 0 ? 1 : -1;
        form.zeroDeg = seeded.between(-90, 90);
        form.decimals = static_cast<int>(seeded.below(4));
        const double angle = seeded.between(-360, 360);
        EXPECT_LE(std::abs(form.angleAt(form.countAt(angle)) - angle), form.resolutionDeg() * 0.500001);
        EXPECT_EQ(form.countAt(form.angleAt(0)), 0);
    }
}

TEST(CountForm, SignAndZeroAreThoseOfTheEquation) {
    CountForm form{0.01, -1, 12.5, 0, {}};
    EXPECT_EQ(form.countAt(12.5), 0);
    EXPECT_EQ(form.countAt(2.5), 1000);
    EXPECT_DOUBLE_EQ(form.angleAt(1000), 2.5);
}

}  // namespace

}  // namespace volvelle
