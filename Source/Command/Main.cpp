#include "Command/Help.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Command/Signals.h"
#include "Text/Error.h"
#include "Text/Version.h"

#include <exception>
#include <memory>
#include <new>

namespace {

using volvelle::Error;
using volvelle::ErrorKind;
using volvelle::exitCode;

int complain(const std::string& message, int code) {
    volvelle::complain(message);
    return code;
}

void describe(CLI::App& app) {
    app.name("volvelle");
    app.description(
        "Turns a loudspeaker through its angles in an anechoic chamber, and turns what it hears into the family of curves of CTA-2034-A.");
    app.set_version_flag("--version", std::string("volvelle ") + volvelle::programVersion(),
                         "Print the program's version and end");
    app.set_help_flag("-h,--help", "Print this help and end");
    app.formatter(std::make_shared<volvelle::Help>());
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
    volvelle::addPlan(app, shell);
    volvelle::addRun(app, shell);
    volvelle::addShot(app, shell);
    volvelle::addIngest(app, shell);
    volvelle::addShow(app, shell);
    volvelle::addVerify(app, shell);
    volvelle::addFamilies(app, shell);
    volvelle::addResponses(app, shell);
    volvelle::addFigure(app, shell);
    volvelle::addSections(app, shell);
    volvelle::addCompare(app, shell);
    volvelle::addTurntable(app, shell);
    volvelle::addDemo(app, shell);
    app.footer(
        "volvelle COMMAND --help tells of each. Begin with Docs/guide.md and Docs/safety.md.");
    volvelle::checkWords(app, argc, argv);
    try {
        app.parse(argc, argv);
        volvelle::refuseEmptyValues(app);
        shell.chosen();
    } catch (const CLI::CallForHelp&) {
        volvelle::say(app.help());
    } catch (const CLI::CallForVersion& asked) {
        volvelle::say(asked.what() + std::string("\n"));
    } catch (const CLI::ParseError& error) {
        throw volvelle::asOurs(error, app);
    }
    volvelle::finishSaying();
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    volvelle::secureStandardStreams();
    try {
        volvelle::stopCleanlyOnSignals();
        return run(argc, argv);
    } catch (const Error& error) {
        return complain(error.what(), exitCode(error.kind()));
    } catch (const std::bad_alloc&) {
        return complain("out of memory: close other programs, or give --jobs 1", exitCode(ErrorKind::bug));
    } catch (const std::exception& error) {
        return complain(std::string("a fault of the program: ") + error.what(), exitCode(ErrorKind::bug));
    }
}
