#include "Command/Shell.h"
#include "Text/Error.h"
#include "Text/Version.h"

#include <fmt/core.h>

#include <exception>
#include <new>

namespace {

using volvelle::Error;
using volvelle::ErrorKind;
using volvelle::exitCode;

int complain(const std::string& message, int code) {
    fmt::print(stderr, "volvelle: {}\n", message);
    return code;
}

void describe(CLI::App& app) {
    app.name("volvelle");
    app.description(
        "From recordings of a loudspeaker turned through its angles to the family of curves of\n"
        "CTA-2034-A. Docs/ingest.md, Docs/recipe.md and Docs/safety.md say more.");
    app.set_version_flag("--version", std::string("volvelle ") + volvelle::programVersion());
    app.set_help_flag("-h,--help", "Print this help and end");
    app.get_formatter()->column_width(34);
    app.require_subcommand(1);
}

std::string lineOf(int argc, char** argv) {
    std::string line = "volvelle";
    for (int i = 1; i < argc; ++i) line += std::string(" ") + argv[i];
    return line;
}

int run(int argc, char** argv) {
    CLI::App app;
    describe(app);
    volvelle::Shell shell;
    shell.commandLine = lineOf(argc, argv);
    volvelle::addIngest(app, shell);
    volvelle::addShow(app, shell);
    volvelle::addVerify(app, shell);
    volvelle::addFamilies(app, shell);
    volvelle::addResponses(app, shell);
    volvelle::addFigure(app, shell);
    volvelle::addDemo(app, shell);
    try {
        app.parse(argc, argv);
    } catch (const CLI::Success& asked) {  // --help, --version
        return app.exit(asked) == 0 ? 0 : exitCode(ErrorKind::usage);
    } catch (const CLI::ParseError& error) {
        return complain(std::string(error.what()) + ". See volvelle --help", exitCode(ErrorKind::usage));
    }
    shell.chosen();
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    try {
        return run(argc, argv);
    } catch (const Error& error) {
        return complain(error.what(), exitCode(error.kind()));
    } catch (const std::bad_alloc&) {
        return complain("out of memory", exitCode(ErrorKind::bug));
    } catch (const std::exception& error) {
        return complain(std::string("a fault of the program: ") + error.what(), exitCode(ErrorKind::bug));
    }
}
