#include "Command/DemoRecordings.h"
#include "Command/QualityTable.h"
#include "Command/Results.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Export/FamilyCsv.h"
#include "Export/FamilyJson.h"
#include "Families/MakeFamily.h"
#include "Ingest/Ingest.h"
#include "Run/RunFile.h"
#include "Run/Unfinished.h"
#include "Signal/ParallelFor.h"
#include "Text/Error.h"
#include "Text/Version.h"

#include <fmt/core.h>

#include <filesystem>
#include <memory>
#include <vector>

namespace volvelle {

namespace {

std::string fileName(std::string drive, const char* ending) {
    for (char& c : drive)
        if (c == '+') c = '-';
    return drive + ending;
}

/// The demonstration's folder while it is being filled: stopped or failed, it is removed.
class Folder {
public:
    explicit Folder(const std::string& path) : path_(path), unfinished_(path, [&] { make(); }) {}
    ~Folder() {
        std::error_code ignored;
        if (!finished_) std::filesystem::remove_all(path_, ignored);
    }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    void finished() { finished_ = true; }

private:
    void make() const {
        std::error_code failure;
        if (std::filesystem::create_directory(path_, failure)) return;
        if (!failure || failure == std::errc::file_exists)
            throw Error(ErrorKind::output, "exists already", path_, "Choose a new folder with --out");
        if (failure == std::errc::no_such_file_or_directory)
            throw Error(ErrorKind::output, "its folder does not exist", path_,
                        "Make that folder first, or choose another with --out");
        throw Error(ErrorKind::output, "cannot be made (" + failure.message() + ")", path_,
                    "Choose another folder with --out");
    }

    std::string path_;
    Unfinished unfinished_;
    bool finished_ = false;
};

void takeIn(const std::string& folder, const Shell& shell) {
    IngestOptions options;
    options.manifestPath = folder + "/recordings/manifest.csv";
    options.outputPath = folder + "/run.h5";
    options.excitationPath = folder + "/recordings/sweep.wav";
    options.planPath = folder + "/recordings/plan.json";
    options.loopbackChannel = 2;
    options.commandLine = shell.commandLine;
    options.programVersion = programVersion();
    const IngestSummary summary = ingest(options);
    say(ingestReport(summary.run, summary.remarks, summary.warnings));
}

void makeResults(const std::string& folder) {
    const SealedRun run(folder + "/run.h5", diskFiles());
    for (const DriveRecord& drive : run.record().drives) {
        const Family family = makeFamily(run, drive.name, Recipe{}, processorCount());
        const std::string base = folder + "/" + fileName(drive.name, "");
        std::vector<ResultFile> results{{base + ".csv", familyCsv(family)},
                                        {base + ".json", familyJson(family)}};
        for (const FigureKind kind : figureKinds()) {
            const std::string name = base + "-" + figureKindName(kind);
            addFigures(results, family, kind, name + ".svg", name + ".png");
        }
        writeResultFiles(results, false);
    }
}

void carryOut(const std::string& path, const Shell& shell) {
    Folder folder(path);
    sayNow(
        wrapped("An invented unit, front and rear section on a sphere, is recorded in an ideal chamber: two "
                "orbits of "
                "10°, front, rear, and both together ..."));
    std::filesystem::create_directory(path + "/recordings");
    makeDemoRecordings(path + "/recordings", processorCount());
    sayNow(wrapped(fmt::format("Recordings: {}/recordings. They are taken in and judged ...", path)) + "\n");
    takeIn(path, shell);
    sayNow("\n" + wrapped(fmt::format("Sealed run: {}/run.h5. Families and figures ...", path)));
    makeResults(path);
    folder.finished();
    say("\n" +
        wrapped(fmt::format("Look first at {0}/front-family.png, then at {0}/front-rear-map.png.", path)));
    say(wrapped(
        "Front alone beams and is 20 dB down behind; both together radiate all round, and only a full family "
        "of angles shows it."));
}

}  // namespace

void addDemo(CLI::App& app, Shell& shell) {
    auto folder = std::make_shared<std::string>("demo");
    CLI::App* sub =
        app.add_subcommand("demo", "Record an invented unit, take the recordings in, make its families");
    sub->add_option("--out", *folder, "The folder to make (where not given: demo)")->type_name("FOLDER");
    sub->callback([folder, &shell] { shell.chosen = [folder, &shell] { carryOut(*folder, shell); }; });
}

}  // namespace volvelle
