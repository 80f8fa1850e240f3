#pragma once

#include "Run/Files.h"

#include <memory>
#include <string>

namespace volvelle {

/// Files::lock of the disk of this machine; all that depends on the system is in DiskLock.cpp.
///
/// The lock proper is the system's advisory lock on the file: it goes when the process that holds it ends,
/// however it ends. The file's text names that process ({process, its start, boot, host}); it is what counts
/// on file systems without such locks, and what messages show. A file that names a process that lives no
/// longer (or another one that got its number since, or one before the last start of this machine) is taken
/// over.
std::unique_ptr<FileLock> lockOnDisk(const std::string& path);

}  // namespace volvelle
