#include "Run/RunRecord.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <string>
#include <utility>
#include <vector>

namespace volvelle {
namespace {

DrivePlan planned(std::string name, std::vector<std::string> sections) {
    DrivePlan drive;
    drive.name = std::move(name);
    drive.sections = std::move(sections);
    return drive;
}

RunRecord runOf(const std::vector<std::string>& drives) {
    RunRecord run;
    run.plan.drives = {planned("whole", {"woofer", "tweeter"}), planned("woofer", {"woofer"})};
    for (const std::string& name : drives) run.drives.emplace_back().name = name;
    return run;
}

TEST(PlannedDrive, IsFoundByItsNameAndByItsSectionsInAnyOrder) {
    const Plan plan = runOf({}).plan;
    for (const char* name : {"whole", "woofer+tweeter", "tweeter+woofer"})
        EXPECT_EQ(plannedDrive(plan, name), &plan.drives[0]) << name;
    EXPECT_EQ(plannedDrive(plan, "woofer"), &plan.drives[1]);
    for (const char* name : {"tweeter", "", "whole+woofer", "woofer+woofer"})
        EXPECT_EQ(plannedDrive(plan, name), nullptr) << name;
}

TEST(PlannedDrive, IsNoneWhereTwoPlayTheSameSections) {
    Plan plan = runOf({}).plan;
    plan.drives.push_back(planned("backwards", {"woofer", "tweeter"}));
    EXPECT_EQ(plannedDrive(plan, "woofer+tweeter"), nullptr);
    EXPECT_EQ(plannedDrives(plan, "woofer+tweeter").size(), 2u);
    EXPECT_EQ(plannedDrive(plan, "backwards"), &plan.drives[2]);
}

TEST(DriveOfARun, IsFoundByThePlansNameAndByItsSections) {
    const RunRecord run = runOf({"woofer", "whole"});
    for (const char* name : {"whole", "woofer+tweeter", "tweeter+woofer"})
        EXPECT_EQ(&driveNamed(run, name), &run.drives[1]) << name;
    EXPECT_EQ(&driveNamed(run, "woofer"), &run.drives[0]);
    const RunRecord older = runOf({"woofer+tweeter"});  // as runs called it before
    EXPECT_EQ(&driveNamed(older, "whole"), &older.drives[0]);
    EXPECT_THROW(driveNamed(run, "tweeter"), Error);
}

TEST(DriveOfARun, IsNotGuessedAmongTwoThatPlayTheSameSections) {
    RunRecord run = runOf({"whole", "backwards"});
    run.plan.drives.push_back(planned("backwards", {"woofer", "tweeter"}));
    EXPECT_EQ(&driveNamed(run, "whole"), &run.drives[0]);
    try {
        driveNamed(run, "woofer+tweeter");
        FAIL();
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::usage);
        EXPECT_EQ(error.advice(), "Name one of them: whole, backwards");
    }
}

}  // namespace
}  // namespace volvelle
