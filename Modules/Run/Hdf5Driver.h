#pragma once

#include "Run/Hdf5.h"

#include <cstdint>
#include <mutex>
#include <string>

namespace volvelle {

/// Held during every call into the HDF5 library, which is not made for threads. Recursive: closing a handle
/// within a call takes it again.
std::recursive_mutex& hdf5Mutex();

/// A new file access property list (the caller closes it) with which the library reads and writes `bytes` and
/// nothing else; negative if it cannot be made. The mutex has to be held. Turns the library's error printing
/// off.
std::int64_t hdf5AccessList(Hdf5Bytes& bytes);

/// The library's type for numbers in files; the library owns it. The mutex has to be held.
std::int64_t hdf5FileType(Hdf5Number type);

/// Stands in files for texts that are empty.
inline const std::string hdf5NotStated = "not stated";

}  // namespace volvelle
