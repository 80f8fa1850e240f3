#include "Sections/DriveParts.h"

#include "Text/Error.h"
#include "Text/Nearest.h"

#include <algorithm>
#include <optional>
#include <set>

namespace volvelle {

namespace {

/// The drive in which a section plays alone.
std::optional<std::size_t> aloneIn(const RunRecord& run, const std::string& section) {
    for (std::size_t d = 0; d < run.drives.size(); ++d)
        if (sectionsOf(run, run.drives[d]) == std::vector{section}) return d;
    return std::nullopt;
}

/// The parts of a drive of several sections, with the sections that were not measured alone.
DriveParts partsOf(const RunRecord& run, std::size_t whole, std::vector<std::string>& lacking) {
    DriveParts parts;
    parts.whole = whole;
    for (const std::string& section : sectionsOf(run, run.drives[whole])) {
        if (const auto drive = aloneIn(run, section)) {
            parts.parts.push_back(*drive);
            parts.sections.push_back(section);
        } else {
            lacking.push_back(section);
        }
    }
    return parts;
}

DriveParts named(const RunRecord& run, const std::string& name, const std::string& path) {
    const auto whole = static_cast<std::size_t>(&driveNamed(run, name) - run.drives.data());
    if (sectionsOf(run, run.drives[whole]).size() < 2)
        throw Error(ErrorKind::usage, "is a section alone", path + ", drive '" + name + "'",
                    "Name a drive in which sections play together");
    std::vector<std::string> lacking;
    DriveParts parts = partsOf(run, whole, lacking);
    if (!lacking.empty())
        throw Error(ErrorKind::usage, "was not measured alone: " + listed(lacking),
                    path + ", drive '" + name + "'", "Name a drive whose sections all were");
    return parts;
}

std::size_t sectionsAlone(const RunRecord& run) {
    std::set<std::string> alone;
    for (const DriveRecord& drive : run.drives)
        if (const auto sections = sectionsOf(run, drive); sections.size() == 1)
            alone.insert(sections.front());
    return alone.size();
}

}  // namespace

std::vector<std::string> sectionsOf(const RunRecord& run, const DriveRecord& drive) {
    if (const DrivePlan* planned = plannedDrive(run.plan, drive.name);
        planned != nullptr && !planned->sections.empty())
        return planned->sections;
    std::vector<std::string> sections;
    for (std::size_t begin = 0; begin <= drive.name.size();) {
        const std::size_t end = std::min(drive.name.find('+', begin), drive.name.size());
        sections.push_back(drive.name.substr(begin, end - begin));
        begin = end + 1;
    }
    return sections;
}

DriveParts drivePartsOf(const RunRecord& run, const std::string& name, const std::string& path) {
    if (!name.empty()) return named(run, name, path);
    std::vector<DriveParts> found;
    std::vector<std::string> names;
    for (std::size_t d = 0; d < run.drives.size(); ++d) {
        std::vector<std::string> lacking;
        DriveParts parts = partsOf(run, d, lacking);
        if (parts.sections.size() < 2 || !lacking.empty()) continue;
        if (parts.sections.size() == sectionsAlone(run)) return parts;
        found.push_back(std::move(parts));
        names.push_back(run.drives[d].name);
    }
    if (found.empty())
        throw Error(ErrorKind::input,
                    "the run has no drive of sections together that also were measured alone; it has " +
                        listed(driveNames(run)),
                    path, "Measure each section alone and all together in one run");
    if (found.size() > 1)
        throw Error(ErrorKind::usage, "several drives join sections measured alone: " + listed(names), path,
                    "Choose one with --drive");
    return found.front();
}

void requireCommonTimeZero(const RunRecord& run, bool vouched, const std::string& path) {
    const bool isCommon = run.timeZero == TimeZero::loopback || run.timeZero == TimeZero::impulse;
    if (isCommon || vouched) return;
    throw Error(
        ErrorKind::input,
        run.timeZero == TimeZero::textPhase
            ? "nothing says that the text responses' phases refer to one instant"
            : "the recordings have no loopback channel, and so no common time zero",
        path,
        "Complex sums need one; --time-zero-is-common if you vouch for it (player and recorder locked "
        "to one clock and started together)");
}

}  // namespace volvelle
