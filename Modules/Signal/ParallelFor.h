#pragma once

#include <cstddef>
#include <functional>

namespace volvelle {

/// Calls work(index, worker) for every index 0 ... count - 1 from `jobs` threads (1: this one only), those of one
/// standing pool; from fewer where the system can start no more. worker is 0 ... jobs - 1 and selects the thread's
/// own memory. The first exception thrown is rethrown here after all threads have stopped. Any thread, and from
/// within another call.
void parallelFor(std::size_t count, int jobs, const std::function<void(std::size_t index, int worker)>& work);

/// Number of processors, at least 1.
int processorCount();

}  // namespace volvelle
