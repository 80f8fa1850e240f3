#pragma once

#include "Text/Number.h"

#include <CLI/CLI.hpp>

#include <functional>
#include <optional>
#include <string>

namespace volvelle {

/// What the subcommands share: the line that started the program, and what the chosen one does.
struct Shell {
    std::string commandLine;
    std::function<void()> chosen;  ///< set by the subcommand that the line names
};

// Numbers come from the command line as text and go through Text/Number.h, so that no locale can change them.

/// The number of an option, or nothing where it was not given. Throws Error{usage} that names the option.
std::optional<double> numberOf(const std::string& option, const std::string& text, const Range& range,
                               const std::string& unit);

/// Whole number of an option that was given, else `otherwise`.
int wholeNumberOf(const std::string& option, const std::string& text, int low, int high, int otherwise);

/// Threads: --jobs, from 1 to 64, else one for each processor.
int jobsOf(const std::string& text);

/// Every subcommand adds itself.
void addPlan(CLI::App& app, Shell& shell);
void addRun(CLI::App& app, Shell& shell);
void addShot(CLI::App& app, Shell& shell);
void addIngest(CLI::App& app, Shell& shell);
void addShow(CLI::App& app, Shell& shell);
void addVerify(CLI::App& app, Shell& shell);
void addFamilies(CLI::App& app, Shell& shell);
void addResponses(CLI::App& app, Shell& shell);
void addFigure(CLI::App& app, Shell& shell);
void addSections(CLI::App& app, Shell& shell);
void addCompare(CLI::App& app, Shell& shell);
void addTurntable(CLI::App& app, Shell& shell);
void addDemo(CLI::App& app, Shell& shell);

}  // namespace volvelle
