#include "Run/RunRecord.h"

#include "Text/Error.h"
#include "Text/Nearest.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

std::vector<std::string> sortedSections(const std::string& drive) {
    std::vector<std::string> sections;
    std::size_t begin = 0;
    while (begin <= drive.size()) {
        const std::size_t end = std::min(drive.find('+', begin), drive.size());
        sections.push_back(drive.substr(begin, end - begin));
        begin = end + 1;
    }
    std::sort(sections.begin(), sections.end());
    return sections;
}

/// Sorted; of a drive of the plan those that it plays, whatever it is called.
std::vector<std::string> sectionsOf(const Plan& plan, const std::string& drive) {
    for (const DrivePlan& planned : plan.drives) {
        if (planned.name != drive) continue;
        auto sections = planned.sections;
        std::sort(sections.begin(), sections.end());
        return sections;
    }
    return sortedSections(drive);
}

}  // namespace

std::vector<const DrivePlan*> plannedDrives(const Plan& plan, const std::string& name) {
    std::vector<const DrivePlan*> found;
    for (const DrivePlan& drive : plan.drives)
        if (drive.name == name) return {&drive};
    const auto wanted = sortedSections(name);
    for (const DrivePlan& drive : plan.drives) {
        auto sections = drive.sections;
        std::sort(sections.begin(), sections.end());
        if (sections == wanted) found.push_back(&drive);
    }
    return found;
}

const DrivePlan* plannedDrive(const Plan& plan, const std::string& name) {
    const auto found = plannedDrives(plan, name);
    return found.size() == 1 ? found.front() : nullptr;
}

std::vector<std::string> driveNames(const RunRecord& run) {
    std::vector<std::string> names;
    for (const DriveRecord& drive : run.drives) names.push_back(drive.name);
    return names;
}

const DriveRecord& driveNamed(const RunRecord& run, const std::string& name) {
    const auto exact = std::find_if(run.drives.begin(), run.drives.end(),
                                    [&](const DriveRecord& drive) { return drive.name == name; });
    if (exact != run.drives.end()) return *exact;
    const auto wanted = sectionsOf(run.plan, name);
    std::vector<std::string> alike;
    const DriveRecord* found = nullptr;
    for (const DriveRecord& drive : run.drives) {
        if (sectionsOf(run.plan, drive.name) != wanted) continue;
        found = &drive;
        alike.push_back(drive.name);
    }
    if (alike.size() > 1)
        throw Error(ErrorKind::usage, "more than one drive plays these sections", "drive '" + name + "'",
                    "Name one of them: " + listed(alike));
    if (found != nullptr) return *found;
    throw Error(ErrorKind::usage, "the run has no drive of that name", "drive '" + name + "'",
                suggestion(name, driveNames(run)));
}

double farFieldLimitHz(double distanceM, double sizeM, const Air& air) {
    const double stated = speedOfSound(air);
    const double speed = std::isfinite(stated) ? stated : 343.2;
    return 4 * distanceM * speed / (std::numbers::pi * sizeM * sizeM);
}

}  // namespace volvelle
