#include "Command/Shell.h"

#include "Signal/ParallelFor.h"

namespace volvelle {

std::optional<double> numberOf(const std::string& option, const std::string& text, const Range& range) {
    if (text.empty()) return std::nullopt;
    return requireNumber(text, range, {ErrorKind::usage, option, "value"});
}

int wholeNumberOf(const std::string& option, const std::string& text, int low, int high, int otherwise) {
    return text.empty() ? otherwise
                        : requireWholeNumber(text, low, high, {ErrorKind::usage, option, "value"});
}

int jobsOf(const std::string& text) {
    return wholeNumberOf("--jobs", text, 1, 256, processorCount());
}

}  // namespace volvelle
