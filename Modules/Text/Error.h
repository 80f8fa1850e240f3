#pragma once

#include <stdexcept>
#include <string>

namespace volvelle {

/// What kind of thing went wrong. Each kind has one exit code of the command (see exitCode).
enum class ErrorKind {
    usage,       ///< options and their values: 2
    input,       ///< what is in files: 4
    incomplete,  ///< curves incomplete although completeness was asked for: 5
    damaged,     ///< a run file whose digests do not agree: 6
    output,      ///< cannot write, or exists already: 7
    device,      ///< hardware: 8
    stopped,     ///< stopped and saved: 9
    bug          ///< an assumption of the program itself failed: 70
};

/// The exit code that the command ends with for an error of this kind. 0 is success, 1 fail, 3 undecided
/// (outcomes, not errors).
int exitCode(ErrorKind kind);

/// The one exception of the project. It says what was wrong, where (file, line, field, position) and what to
/// do.
class Error : public std::runtime_error {
public:
    Error(ErrorKind kind, std::string what, std::string where, std::string advice);

    ErrorKind kind() const { return kind_; }
    const std::string& problem() const { return problem_; }
    const std::string& where() const { return where_; }
    const std::string& advice() const { return advice_; }
    // what() is "<where>: <problem>. <advice>", one line.

private:
    ErrorKind kind_;
    std::string problem_, where_, advice_;
};

}  // namespace volvelle
