#include "Text/Error.h"

#include <utility>

namespace volvelle {

int exitCode(ErrorKind kind) {
    switch (kind) {
        case ErrorKind::usage:
            return 2;
        case ErrorKind::input:
            return 4;
        case ErrorKind::incomplete:
            return 5;
        case ErrorKind::damaged:
            return 6;
        case ErrorKind::output:
            return 7;
        case ErrorKind::device:
            return 8;
        case ErrorKind::stopped:
            return 9;
        case ErrorKind::bug:
            return 70;
    }
    return 70;
}

namespace {

std::string sentence(const std::string& problem, const std::string& where, const std::string& advice) {
    std::string line = where.empty() ? problem : where + ": " + problem;
    return advice.empty() ? line : line + ". " + advice;
}

}  // namespace

Error::Error(ErrorKind kind, std::string what, std::string where, std::string advice)
    : std::runtime_error(sentence(what, where, advice)),
      kind_(kind),
      problem_(std::move(what)),
      where_(std::move(where)),
      advice_(std::move(advice)) {
}

}  // namespace volvelle
