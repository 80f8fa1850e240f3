#include "Conductor/Laboratory.h"
#include "Run/RunFile.h"

#include <gtest/gtest.h>

#include <map>

namespace volvelle {
namespace {

using namespace testing;

TEST(Placement, CapturesHoldWhereTheMicrophoneReallyWasWhateverTheTablesSignAndTheSide) {
    for (const bool clockwise : {false, true})
        for (const bool left : {false, true})
            for (const double offset : {0.0, 0.12}) {
                Plan plan = smallPlan();
                plan.referencePointM = {offset, -offset / 2, offset / 3};
                plan.table.countsClockwise = clockwise;
                plan.table.liesOnLeftSide = left;
                Scene scene = smallScene();
                scene.table.positionErrorDeg = 0;
                MemoryFiles files;
                Laboratory lab(plan, scene, &files);
                std::map<std::string, SimulatedChamber::Truth> truth;
                lab.audio.tamper = [&](const AudioShot& shot, AudioTake&) {
                    truth[shot.label] = lab.chamber.truth();
                };
                lab.carryOut(twoOrbits(), files);
                const SealedRun run(runName, files);
                ASSERT_EQ(run.record().drives[0].captures.size(), 6U + 2 + 4);
                for (const Capture& capture : run.record().drives[0].captures) {
                    const auto& real = truth.at(capture.id);
                    EXPECT_LT(angleBetweenDeg(capture.direction, real.direction), 1e-9) << capture.id;
                    EXPECT_NEAR(capture.distanceM, real.distanceM, 1e-12) << capture.id;
                    EXPECT_DOUBLE_EQ(capture.readBackDeg, capture.tableDeg) << capture.id;
                }
            }
}

TEST(Placement, TheReferencePointOffTheAxisShowsInDirectionAndDistance) {
    // 0.15 m at 2 m: 4.3° at 90° (design)
    MemoryFiles files;
    Plan plan = smallPlan();
    plan.distanceM = 2;
    plan.referencePointM = {0.15, 0, 0};
    Laboratory lab(plan, smallScene(), &files);
    lab.carryOut(fourAround(), files);
    const SealedRun run(runName, files);
    for (const Capture& capture : run.record().drives[0].captures)
        if (positionName(capture) == "horizontal:90") {
            EXPECT_NEAR(capture.direction.azimuthDeg, 94.0, 0.3);
            EXPECT_DOUBLE_EQ(capture.angleDeg, 90);
            EXPECT_DOUBLE_EQ(capture.tableDeg, -90);
        }
}

}  // namespace
}  // namespace volvelle
