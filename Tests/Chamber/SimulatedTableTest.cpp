#include "Chamber/SimulatedTable.h"
#include "Chamber/Stage.h"
#include "Run/TableGeometry.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

using stage::Chamber;

TEST(TableMovement, TakesTheTimeOfSpeedingUpRunningAndSlowingDown) {
    EXPECT_DOUBLE_EQ((TableMovement{90, 10, 0}.durationS()), 9);
    // 20 °/s² to 10 °/s takes 0.5 s and 2.5°, twice.
    EXPECT_DOUBLE_EQ((TableMovement{90, 10, 20}.durationS()), 9.5);
    EXPECT_DOUBLE_EQ((TableMovement{1.25, 10, 20}.durationS()), 0.5);  // never reaches its speed
    EXPECT_DOUBLE_EQ((TableMovement{0, 10, 20}.durationS()), 0);
}

TEST(TableMovement, GoesFromRestToRestWithinItsSpeedAndAcceleration) {
    for (const double way : {0.7, 5.0, 5.1, 90.0}) {
        const TableMovement m{way, 10, 20};
        EXPECT_EQ(m.wayAfter(0), 0);
        EXPECT_DOUBLE_EQ(m.wayAfter(m.durationS()), way);
        EXPECT_NEAR(m.wayAfter(m.durationS() / 2), way / 2, 1e-12);
        const double step = m.durationS() / 1000;
        double before = 0;
        for (int i = 1; i <= 1000; ++i) {
            const double speed = (m.wayAfter(i * step) - m.wayAfter((i - 1) * step)) / step;
            EXPECT_LE(speed, 10 + 1e-9);
            EXPECT_LE(std::abs(speed - before), 20 * step + 1e-9);
            before = speed;
        }
        EXPECT_LE(before, 20 * step);
    }
}

// Written from the other end: poseOf says where the table has to stand, the chamber what the unit then shows.
TEST(SimulatedTable, ShowsTheMicrophoneTheDirectionThatThePoseIsFor) {
    for (const bool clockwise : {false, true})
        for (const bool left : {false, true}) {
            Plan plan = stage::plan();
            plan.table.countsClockwise = clockwise;
            plan.table.liesOnLeftSide = left;
            plan.referencePointM = {0.12, 0.05, -0.04};
            Chamber c(plan, stage::scene());
            for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical}) {
                const Stance stance = orbit == Orbit::horizontal ? Stance::upright : Stance::onSide;
                if (stance == Stance::onSide) c.lay();
                for (const double angle : orbitAngles(30)) {
                    const SetPosition position{orbit, angle, directionOn(orbit, angle), stance};
                    const Placement expected = placementOf(position, plan);
                    ASSERT_TRUE(c.turn(poseOf(position, plan.table).tableDeg).arrived());
                    EXPECT_LT(angleBetweenDeg(c.chamber.truth().direction, expected.direction), 1e-6)
                        << orbitName(orbit) << " " << angle;
                    EXPECT_NEAR(c.chamber.truth().distanceM, expected.distanceM, 1e-12);
                }
            }
        }
}

// A picture in words: seen from above, a unit turned counter-clockwise by 90° shows its right side; lying on
// its left side with its top to the left, it then shows its bottom.
TEST(SimulatedTable, TurnedCounterClockwiseShowsTheUnitsRightSideOrItsBottom) {
    Chamber c(stage::plan(), stage::scene());
    c.turn(90);
    EXPECT_TRUE(sameDirection(c.chamber.truth().direction, {-90, 0}));
    c.lay();
    EXPECT_TRUE(sameDirection(c.chamber.truth().direction, {0, -90}));
}

TEST(SimulatedTable, ReachesElevationsWithASecondAxis) {
    Plan plan = stage::plan();
    plan.table.hasTilt = true;
    Chamber c(plan, stage::scene());
    ASSERT_TRUE(c.turn(-30, 45).arrived());
    EXPECT_TRUE(sameDirection(c.chamber.truth().direction, {30, 45}));
    Chamber flat(stage::plan(), stage::scene());
    EXPECT_EQ(flat.turn(-30, 45).outcome, TableOutcome::refused);
}

TEST(SimulatedTable, StandsOffByTheStatedRmsOverManyPoses) {
    Scene scene = stage::scene();
    scene.table.positionErrorDeg = 0.25;
    Chamber c(stage::plan(), scene, 7);
    double power = 0, sum = 0;
    constexpr int count = 2000;
    std::vector<double> errors;
    for (int i = 0; i < count; ++i) {
        const double deg = -90 + 0.09 * i;
        const TableResult result = c.turn(deg);
        ASSERT_TRUE(result.arrived());
        EXPECT_EQ(result.pose.tableDeg, deg) << "the read-back does not see it";
        const double error = -c.chamber.truth().direction.azimuthDeg - deg;
        power += error * error / count;
        sum += error / count;
        errors.push_back(error);
    }
    EXPECT_NEAR(std::sqrt(power) / 0.25, 1, 4.5 / std::sqrt(2.0 * count));
    EXPECT_LT(std::abs(sum), 4.5 * 0.25 / std::sqrt(1.0 * count));
    c.turn(-90 + 0.09 * 500);  // the same pose again: the same error
    EXPECT_DOUBLE_EQ(-c.chamber.truth().direction.azimuthDeg - (-90 + 0.09 * 500), errors[500]);
}

TEST(SimulatedTable, RefusesWhatLiesOutsideItsLimitsAndAnythingBeforeItWasHome) {
    Plan plan = stage::plan();
    plan.table.highestDeg = 100;
    Scene scene = stage::scene();
    scene.table.lowestDeg = -120;
    SimulatedClock clock(0);
    SimulatedTable table(plan, scene, 1, clock);
    EXPECT_EQ(table.facts().lowestDeg, -120);
    EXPECT_EQ(table.facts().highestDeg, 100);
    EXPECT_EQ(table.moveTo({10, 0}, {}).outcome, TableOutcome::refused);
    EXPECT_EQ(table.where().outcome, TableOutcome::lost);
    ASSERT_TRUE(table.home({}).arrived());
    EXPECT_TRUE(table.moveTo({100, 0}, {}).arrived());
    for (const double deg : {100.1, -120.1, 180.0}) {
        const TableResult result = table.moveTo({deg, 0}, {});
        EXPECT_EQ(result.outcome, TableOutcome::refused);
        EXPECT_THAT(result.what, testing::HasSubstr("-120° to 100°"));
        EXPECT_EQ(table.where().pose.tableDeg, 100);
    }
}

TEST(SimulatedTable, StandsAtMultiplesOfItsResolution) {
    Scene scene = stage::scene();
    scene.table.resolutionDeg = 0.25;
    Chamber c(stage::plan(), scene);
    EXPECT_DOUBLE_EQ(c.turn(10.1).pose.tableDeg, 10);
    EXPECT_DOUBLE_EQ(c.turn(-10.2).pose.tableDeg, -10.25);
}

TEST(SimulatedTable, SwingsOnAfterArrivingAndSettles) {
    Scene scene = stage::scene();
    scene.table.ringDeg = 0.5;
    scene.table.ringDecayS = 0.2;
    Chamber c(stage::plan(), scene);
    c.turn(20);
    EXPECT_NEAR(-c.chamber.truth().direction.azimuthDeg, 20.5, 1e-9);
    c.clock.waitFor(0.2, {});
    EXPECT_NEAR(-c.chamber.truth().direction.azimuthDeg, 20 + 0.5 / M_E, 1e-9);
    c.clock.waitFor(5, {});
    EXPECT_EQ(-c.chamber.truth().direction.azimuthDeg, 20);
}

TEST(SimulatedTable, ShowsOneRemountingErrorForTheWholeSide) {
    Scene scene = stage::scene();
    scene.remountingErrorDeg = 0.5;
    Chamber c(stage::plan(), scene, 3);
    EXPECT_EQ(c.chamber.truth().direction.azimuthDeg, 0);
    c.lay();
    const double error = c.chamber.truth().direction.elevationDeg;
    EXPECT_NE(error, 0);
    c.turn(-40);
    EXPECT_NEAR(c.chamber.truth().direction.elevationDeg, 40 + error, 1e-9);
}

}  // namespace
}  // namespace volvelle
