#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Run/CapturesUnderWay.h"
#include "Run/OpenRun.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <fmt/core.h>

#include <memory>
#include <vector>

namespace volvelle {

namespace {

/// Every piece of a sealed run, or every part of one under way.
std::vector<PieceReport> piecesOf(const std::string& path, bool isSealed) {
    return isSealed ? verifyRun(path, diskFiles()) : verifyCapturesUnderWay(path, diskFiles());
}

void carryOut(const std::string& named) {
    const std::string path = pathOfOpenRun(named, diskFiles());
    const bool isSealed = !isPartFolder(path);
    std::size_t pieces = 0, damaged = 0, bytes = 0;
    for (const PieceReport& piece : piecesOf(path, isSealed)) {
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
    const auto run = openRun(path, diskFiles());
    say(wrapped(fmt::format("{}: all {} pieces ({} bytes) agree with their digests", path, pieces, bytes)));
    say(labelled("Fingerprint", isSealed ? run->fingerprint() : "unsealed: captures under way"));
}

}  // namespace

void addVerify(CLI::App& app, Shell& shell) {
    auto path = std::make_shared<std::string>();
    CLI::App* sub = app.add_subcommand("verify", "Hold every byte of a run against its digests");
    sub->add_option("RUN.h5", *path, "A run, sealed or under way")->required();
    sub->callback([path, &shell] { shell.chosen = [path] { carryOut(*path); }; });
}

}  // namespace volvelle
