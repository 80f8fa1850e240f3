#include "Command/Help.h"

#include "Command/Screen.h"
#include "Text/InQuotes.h"
#include "Text/Nearest.h"

#include <algorithm>
#include <span>
#include <vector>

namespace volvelle {

namespace {

constexpr std::size_t explanationColumn = 28;

std::string entry(const std::string& name, const std::string& explanation) {
    std::string text = "  " + name;
    if (columnsOf(text) + 2 > explanationColumn) text += "\n";
    const std::string body = wrapped(std::string(explanationColumn, ' ') + explanation, 0);
    return text + (text.back() == '\n' ? body : body.substr(columnsOf(text)));
}

std::string nameAndValue(const CLI::Option& option) {
    const std::string name = option.get_name(option.get_positional(), true);
    return option.get_type_size() == 0 || option.get_positional() ? name
                                                                  : name + " " + option.get_type_name();
}

enum class Order { positional, option, help };

Order orderOf(const CLI::App& app, const CLI::Option& option) {
    return option.get_positional()         ? Order::positional
           : &option == app.get_help_ptr() ? Order::help
                                           : Order::option;
}

bool isRequired(const CLI::Option* option) {
    return option->get_required();
}

std::string usage(const CLI::App& app, const std::string& name) {
    std::string line = "Usage: " + name;
    if (!app.get_subcommands({}).empty()) return wrapped(line + " COMMAND ...");
    for (const CLI::Option* option : app.get_options(isRequired)) line += " " + nameAndValue(*option);
    return wrapped(line + " [OPTION ...]", 7);
}

const CLI::App* commandNamed(const CLI::App& app, const std::string& name) {
    for (const CLI::App* command : app.get_subcommands({}))
        if (command->get_name() == name) return command;
    return nullptr;
}

[[noreturn]] void refuseCommand(const CLI::App& app, const std::string& word) {
    std::vector<std::string> known;
    for (const CLI::App* command : app.get_subcommands({})) known.push_back(command->get_name());
    throw Error(ErrorKind::usage, "is not a command", inQuotes(word), suggestion(word, known));
}

bool hasOption(const CLI::App& app, const std::string& name) {
    return !app.get_options([&](const CLI::Option* option) { return option->check_name(name); }).empty();
}

/// "volvelle plan check".
std::string fullName(const CLI::App& command) {
    const CLI::App* parent = command.get_parent();
    return parent == nullptr ? "volvelle" : fullName(*parent) + " " + command.get_name();
}

std::string helpOf(const CLI::App& command) {
    return fullName(command) + " --help";
}

/// The command that the line names, and where it has commands of its own, the one of those.
const CLI::App& chosenOf(const CLI::App& app) {
    const auto chosen = app.get_subcommands();
    return chosen.empty() ? app : chosenOf(*chosen.front());
}

void checkOption(const CLI::App& command, const std::string& word) {
    const std::string name = word.substr(0, word.find('='));
    if (hasOption(command, name)) {
        if (name.size() + 1 == word.size())  // the library would take the next word instead
            throw Error(ErrorKind::usage, "the value is empty", name,
                        "Write a value, or leave the option out");
        return;
    }
    const std::string problem = "is not an option of " + command.get_name();
    if (!word.starts_with("--"))
        throw Error(ErrorKind::usage, problem, name,
                    "See " + helpOf(command) + "; a file of that name is ./" + word);
    std::vector<std::string> known;
    for (const CLI::Option* option : command.get_options({}))
        if (option->nonpositional()) known.push_back("--" + option->get_single_name());
    const auto nearest = nearestName(name, known);
    throw Error(ErrorKind::usage, problem, name,
                nearest ? "Did you mean " + *nearest + "?" : "See " + helpOf(command));
}

bool looksLikeAnOption(const std::string& word) {
    const auto isLetter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
    return word.size() > 1 && word[0] == '-' && (isLetter(word[1]) || (word[1] == '-' && word.size() > 2));
}

}  // namespace

std::string Help::make_help(const CLI::App* app, std::string name, CLI::AppFormatMode) const {
    std::string text =
        usage(*app, name.empty() ? app->get_name() : name) + "\n" + wrapped(app->get_description(), 0) + "\n";
    for (const CLI::App* command : app->get_subcommands({}))
        text += entry(command->get_name(), command->get_description());
    if (!app->get_subcommands({}).empty()) text += "\n";
    for (const Order which : {Order::positional, Order::option, Order::help})
        for (const CLI::Option* option : app->get_options({}))
            if (orderOf(*app, *option) == which)
                text += entry(nameAndValue(*option),
                              (option->get_required() ? "(needed) " : "") + option->get_description());
    if (!app->get_footer().empty()) text += "\n" + wrapped(app->get_footer(), 0);
    return text;
}

void checkWords(const CLI::App& app, int argc, const char* const* argv) {
    const CLI::App* command = &app;
    for (const std::string word : std::span(argv, static_cast<std::size_t>(argc)).subspan(argc > 0 ? 1 : 0)) {
        if (word == "--") return;
        if (looksLikeAnOption(word))
            checkOption(*command, word);
        else if (const CLI::App* named = commandNamed(*command, word))
            command = named;
        else if (!command->get_subcommands({}).empty())
            refuseCommand(*command, word);
    }
}

Error asOurs(const CLI::ParseError& error, const CLI::App& app) {
    const CLI::App& chosen = chosenOf(app);
    const std::string see = "See " + helpOf(chosen);
    const std::string text = error.what();
    const std::size_t colon = std::min(text.find(": "), text.size());
    const std::string first = text.substr(0, colon), rest = text.substr(std::min(colon + 2, text.size()));
    if (dynamic_cast<const CLI::ExtrasError*>(&error) != nullptr)
        return {ErrorKind::usage, "more words than expected", inQuotes(rest),
                see + "; names with blanks need quotes"};
    if (dynamic_cast<const CLI::ArgumentMismatch*>(&error) != nullptr)
        return {ErrorKind::usage,
                rest.find("missing") != std::string::npos ? "no value follows" : "is given more than once",
                first, see};
    if (!chosen.get_subcommands({}).empty()) return {ErrorKind::usage, "no command is named", "", see};
    return {ErrorKind::usage, text, "", see};
}

void refuseEmptyValues(const CLI::App& app) {
    for (const CLI::App* command : app.get_subcommands()) {
        refuseEmptyValues(*command);
        for (const CLI::Option* option :
             command->get_options([](const CLI::Option* o) { return o->count() > 0; }))
            for (const std::string& value : option->results())
                if (value.empty())
                    throw Error(ErrorKind::usage, "the value is empty",
                                option->get_name(option->get_positional()),
                                "Write a value, or leave the option out");
    }
}

}  // namespace volvelle
