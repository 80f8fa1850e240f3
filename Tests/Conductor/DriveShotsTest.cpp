#include "Conductor/DriveShots.h"

#include "Conductor/Laboratory.h"

#include <gtest/gtest.h>

namespace volvelle {
namespace {

using namespace testing;

/// Bands reach beyond what low rates carry; the sweep's edges are left to the program.
Plan openPlan() {
    Plan plan = smallPlan();
    for (SectionPlan& section : plan.sections) section.highHz = 22000;
    plan.drives[0].sweep.startHz = plan.drives[0].sweep.endHz = notStated;
    plan.audio.sampleRateHz = notStated;
    return plan;
}

TEST(DriveShots, AreThoseOfTheAudioPathsRateWhereThePlanStatesNone) {
    const Plan open = openPlan();
    for (const double rateHz : {32000.0, 44100.0, 48000.0, 96000.0}) {
        SCOPED_TRACE(rateHz);
        const AudioFacts audio{"a path", rateHz, 8, 8, 24};
        Plan stated = open;
        stated.audio.sampleRateHz = rateHz;
        const DriveShots ours(open, open.drives[0], audio), theirs(stated, stated.drives[0], audio);
        EXPECT_EQ(ours.excitation(), theirs.excitation());
        EXPECT_EQ(ours.samples(), theirs.samples());
        EXPECT_EQ(ours.sampleRateHz(), rateHz);
    }
}

}  // namespace
}  // namespace volvelle
