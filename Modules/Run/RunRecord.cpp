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

}  // namespace

const DriveRecord& driveNamed(const RunRecord& run, const std::string& name) {
    const auto exact = std::find_if(run.drives.begin(), run.drives.end(),
                                    [&](const DriveRecord& drive) { return drive.name == name; });
    if (exact != run.drives.end()) return *exact;
    const auto sections = sortedSections(name);
    std::vector<std::string> known;
    for (const DriveRecord& drive : run.drives) {
        if (sortedSections(drive.name) == sections) return drive;
        known.push_back(drive.name);
    }
    throw Error(ErrorKind::usage, "the run has no drive of that name", "drive '" + name + "'",
                suggestion(name, known));
}

double farFieldLimitHz(double distanceM, double sizeM, const Air& air) {
    const double stated = speedOfSound(air);
    const double speed = std::isfinite(stated) ? stated : 343.2;
    return 4 * distanceM * speed / (std::numbers::pi * sizeM * sizeM);
}

}  // namespace volvelle
