#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <fmt/core.h>

#include <memory>

namespace volvelle {

namespace {

void carryOut(const std::string& path) {
    std::size_t pieces = 0, damaged = 0, bytes = 0;
    for (const PieceReport& piece : verifyRun(path, diskFiles())) {
        ++pieces;
        bytes += piece.length;
        if (piece.intact) continue;
        ++damaged;
        say(wrapped("Damaged: " + piece.name));
    }
    if (damaged > 0)
        throw Error(ErrorKind::damaged,
                    fmt::format("{} of {} pieces do not agree with their digests", damaged, pieces), path,
                    "Use a copy that verifies");
    const SealedRun run(path, diskFiles());
    say(wrapped(fmt::format("{}: all {} pieces ({} bytes) agree with their digests", path, pieces, bytes)));
    say(labelled("Fingerprint", run.fingerprint()));
}

}  // namespace

void addVerify(CLI::App& app, Shell& shell) {
    auto path = std::make_shared<std::string>();
    CLI::App* sub = app.add_subcommand("verify", "Hold every byte of a run against its digests");
    sub->add_option("RUN.h5", *path, "A sealed run")->required();
    sub->callback([path, &shell] { shell.chosen = [path] { carryOut(*path); }; });
}

}  // namespace volvelle
