#include "Conductor/Laboratory.h"
#include "Run/RunFile.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace volvelle {
namespace {

using namespace testing;

// Off the rotation axis the true direction at 90° is not 90°; positions keep the name of where they were sent.
TEST(Redo, FindsItsPositionAlsoWhereTheReferencePointLiesOffTheAxis) {
    MemoryFiles files;
    Plan plan = smallPlan();
    plan.referencePointM = {0.12, 0.02, 0};
    {
        Laboratory lab(plan, smallScene(), &files);
        const auto captures = CapturesUnderWay::begin(runName, lab.head(), files);
        lab.conductOn(*captures, fourAround());
    }
    Laboratory lab(plan, smallScene(), &files);
    lab.carryOut(fourAround(), files, {parsePosition("horizontal:90")});
    const SealedRun run(runName, files);
    const auto& captures = run.record().drives[0].captures;
    const auto count = [&](CaptureState state) {
        return std::count_if(captures.begin(), captures.end(), [&](const Capture& c) {
            return c.kind == CaptureKind::position && positionName(c) == "horizontal:90" && c.state == state;
        });
    };
    EXPECT_EQ(count(CaptureState::superseded), 1);
    EXPECT_EQ(count(CaptureState::kept), 1);
    const auto moved = std::find_if(captures.begin(), captures.end(), [](const Capture& c) {
        return c.kind == CaptureKind::position && c.angleDeg == 90;
    });
    ASSERT_NE(moved, captures.end());
    EXPECT_GT(angleBetweenDeg(moved->direction, directionOn(Orbit::horizontal, 90)), 1);
}

}  // namespace
}  // namespace volvelle
