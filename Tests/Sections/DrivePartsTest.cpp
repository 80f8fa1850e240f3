#include "Sections/DriveParts.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace volvelle {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

RunRecord runOf(const std::vector<std::string>& drives) {
    RunRecord run;
    run.timeZero = TimeZero::loopback;
    for (const std::string& name : drives) {
        DriveRecord drive;
        drive.name = name;
        run.drives.push_back(drive);
    }
    return run;
}

Error refusal(const RunRecord& run, const std::string& name) {
    try {
        drivePartsOf(run, name, "toy.h5");
    } catch (const Error& error) {
        return error;
    }
    return {ErrorKind::bug, "was not refused", "", ""};
}

TEST(DriveParts, AreTheSectionsAloneOfTheDriveThatJoinsThemAll) {
    const DriveParts parts = drivePartsOf(runOf({"rear", "front+rear", "front"}), "", "toy.h5");
    EXPECT_EQ(parts.whole, 1u);
    EXPECT_THAT(parts.parts, ElementsAre(2u, 0u));
    EXPECT_THAT(parts.sections, ElementsAre("front", "rear"));
}

TEST(DriveParts, PreferTheDriveThatJoinsAllSectionsMeasuredAlone) {
    EXPECT_EQ(drivePartsOf(runOf({"a", "b", "c", "a+b", "a+b+c"}), "", "toy.h5").whole, 4u);
    EXPECT_EQ(drivePartsOf(runOf({"a", "b", "c", "a+b", "a+b+c"}), "b+a", "toy.h5").whole, 3u);
}

TEST(DriveParts, OfSeveralDrivesThatCouldBeMeantAsk) {
    const Error error = refusal(runOf({"a", "b", "c", "a+b", "b+c"}), "");
    EXPECT_EQ(error.kind(), ErrorKind::usage);
    EXPECT_THAT(error.what(), HasSubstr("a+b, b+c"));
    EXPECT_THAT(error.what(), HasSubstr("--drive"));
}

TEST(DriveParts, NeedEachSectionAloneAndAllTogether) {
    EXPECT_EQ(refusal(runOf({"front"}), "").kind(), ErrorKind::input);
    EXPECT_EQ(refusal(runOf({"front", "rear"}), "").kind(), ErrorKind::input);
    EXPECT_EQ(refusal(runOf({"front", "front+rear"}), "").kind(), ErrorKind::input);
    EXPECT_THAT(refusal(runOf({"front", "front+rear"}), "front+rear").what(),
                HasSubstr("not measured alone: rear"));
    EXPECT_THAT(refusal(runOf({"front", "rear", "front+rear"}), "rear").what(), HasSubstr("section alone"));
    EXPECT_EQ(refusal(runOf({"front", "rear", "front+rear"}), "side").kind(), ErrorKind::usage);
}

TEST(DriveParts, KnowDrivesWithNamesOfTheirOwnFromThePlan) {
    RunRecord run = runOf({"front", "rear", "omni"});
    DrivePlan plan;
    plan.name = "omni";
    plan.sections = {"front", "rear"};
    run.plan.drives = {plan};
    const DriveParts parts = drivePartsOf(run, "", "toy.h5");
    EXPECT_EQ(parts.whole, 2u);
    EXPECT_THAT(parts.sections, ElementsAre("front", "rear"));
}

TEST(DriveParts, AreSummedOnlyWithACommonTimeZeroOrAWitness) {
    RunRecord run = runOf({"front", "rear", "front+rear"});
    for (const TimeZero zero :
         {TimeZero::loopback, TimeZero::impulse, TimeZero::excitationFile, TimeZero::textPhase}) {
        run.timeZero = zero;
        EXPECT_NO_THROW(requireCommonTimeZero(run, true, "run.h5"));
        if (zero == TimeZero::loopback || zero == TimeZero::impulse) {
            EXPECT_NO_THROW(requireCommonTimeZero(run, false, "run.h5"));
        } else {
            EXPECT_THROW(requireCommonTimeZero(run, false, "run.h5"), Error);
        }
    }
}

}  // namespace
}  // namespace volvelle
