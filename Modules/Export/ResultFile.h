#pragma once

#include <span>
#include <string>
#include <string_view>

namespace volvelle {

/// Throws Error{output} where writeResultFile would: the file exists (without force), is a folder, or is a
/// run (a run is never replaced, force or not), or its folder is missing or read-only. For a look before long
/// work; nothing is changed.
void checkResultFile(const std::string& path, bool force);

/// Writes a result: to a temporary file in the same folder, brought safely to the disk, then renamed, so that
/// there is never half a file and what was there before stays until then. Devices and pipes are written to
/// directly. force: replace what exists. Throws Error{output} as checkResultFile does, and where the disk is
/// full; then the folder is as it was.
void writeResultFile(const std::string& path, std::string_view bytes, bool force);

struct ResultFile {
    std::string path;
    std::string bytes;
};

/// Several results together, or none: all are safe on the disk before the first gets its name.
void writeResultFiles(std::span<const ResultFile> files, bool force);

}  // namespace volvelle
