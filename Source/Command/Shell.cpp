#include "Command/Shell.h"

#include "Ingest/Ingest.h"
#include "Signal/ParallelFor.h"

#include <algorithm>

namespace volvelle {

std::optional<double> numberOf(const std::string& option, const std::string& text, const Range& range,
                               const std::string& unit) {
    if (text.empty()) return std::nullopt;
    return requireNumber(text, range, {ErrorKind::usage, option, "the value", unit});
}

int wholeNumberOf(const std::string& option, const std::string& text, int low, int high, int otherwise) {
    return text.empty() ? otherwise
                        : requireWholeNumber(text, low, high, {ErrorKind::usage, option, "the value"});
}

int jobsOf(const std::string& text) {
    return wholeNumberOf("--jobs", text, 1, mostJobs, std::min(processorCount(), mostJobs));
}

}  // namespace volvelle
