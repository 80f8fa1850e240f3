#pragma once

#include "Run/RunRecord.h"

#include <cstddef>
#include <string>
#include <vector>

namespace volvelle {

/// A combined drive and the drives that its sections have for themselves.
struct DriveParts {
    std::size_t whole = 0;              ///< its number in the run
    std::vector<std::size_t> parts;     ///< the drive of each of its sections alone
    std::vector<std::string> sections;  ///< their names, in the combined drive's order
};

/// The sections that play in a drive: the plan's, else those that its name lists ("front+rear").
std::vector<std::string> sectionsOf(const RunRecord& run, const DriveRecord& drive);

/// The combined drive of that name; where none is named, the one that joins all sections that have a drive of
/// their own, else the only one whose sections all have. Throws Error{input} for runs that have no such
/// drive, Error{usage} where several could be meant, for unknown names, and for drives of which a section was
/// not measured alone.
DriveParts drivePartsOf(const RunRecord& run, const std::string& name, const std::string& path);

/// Throws Error{input} for runs whose captures have no common time zero (recordings without a loopback
/// channel, text responses), unless somebody vouches for it.
void requireCommonTimeZero(const RunRecord& run, bool vouched, const std::string& path);

}  // namespace volvelle
