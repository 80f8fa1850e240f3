#pragma once

#include "Text/Error.h"

#include <CLI/CLI.hpp>

#include <string>

namespace volvelle {

/// Help within 80 columns: what a command does, how it is called, and what each option means.
class Help final : public CLI::Formatter {
public:
    std::string make_help(const CLI::App* app, std::string name, CLI::AppFormatMode mode) const override;
};

/// Throws Error{usage} that names the likely intent for a word of the line that is no command, and for
/// anything that looks like an option and is none.
void checkWords(const CLI::App& app, int argc, const char* const* argv);

/// What the library found wrong with the line, in our words.
Error asOurs(const CLI::ParseError& error, const CLI::App& app);

/// Throws Error{usage} for an option of the chosen command that was given an empty value.
void refuseEmptyValues(const CLI::App& app);

}  // namespace volvelle
