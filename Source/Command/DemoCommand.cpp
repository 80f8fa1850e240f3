#include "Command/DemoRecordings.h"
#include "Command/QualityTable.h"
#include "Command/Results.h"
#include "Command/Shell.h"
#include "Export/FamilyCsv.h"
#include "Export/FamilyJson.h"
#include "Families/MakeFamily.h"
#include "Ingest/Ingest.h"
#include "Signal/ParallelFor.h"
#include "Text/Error.h"
#include "Text/Version.h"

#include <fmt/core.h>

#include <filesystem>
#include <memory>

namespace volvelle {

namespace {

std::string fileName(std::string drive, const char* ending) {
    for (char& c : drive)
        if (c == '+') c = '-';
    return drive + ending;
}

void makeFolder(const std::string& folder) {
    std::error_code failure;
    if (std::filesystem::exists(folder))
        throw Error(ErrorKind::output, "exists already", folder, "Choose a new folder with --out");
    if (!std::filesystem::create_directories(folder + "/recordings", failure))
        throw Error(ErrorKind::output, "cannot be made: " + failure.message(), folder,
                    "Choose another folder with --out");
}

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
    fmt::print("{}", qualityReport(summary.run));
    for (const std::string& remark : summary.remarks) fmt::print("{}", wrapped(remark));
    for (const std::string& warning : summary.warnings) fmt::print("{}", wrapped("Beware: " + warning));
}

void makeResults(const std::string& folder) {
    const SealedRun run(folder + "/run.h5", diskFiles());
    for (const DriveRecord& drive : run.record().drives) {
        const Family family = makeFamily(run, drive.name, Recipe{}, processorCount());
        const std::string base = folder + "/" + fileName(drive.name, "");
        writeResultFile(base + ".csv", familyCsv(family), false);
        writeResultFile(base + ".json", familyJson(family), false);
        for (const FigureKind kind : figureKinds()) {
            const std::string name = base + "-" + figureKindName(kind);
            writeFigures(family, kind, name + ".svg", name + ".png", false);
        }
    }
}

void carryOut(const std::string& folder, const Shell& shell) {
    makeFolder(folder);
    fmt::print("{}", wrapped("An invented unit, front and rear section on a sphere, is recorded in an ideal "
                             "chamber: two orbits of "
                             "10°, front, rear, and both together ..."));
    std::fflush(stdout);
    makeDemoRecordings(folder + "/recordings", processorCount());
    fmt::print("Recordings: {}/recordings. They are taken in and judged ...\n\n", folder);
    std::fflush(stdout);
    takeIn(folder, shell);
    fmt::print("\nSealed run: {}/run.h5. Families and figures ...\n", folder);
    std::fflush(stdout);
    makeResults(folder);
    fmt::print("\nLook first at {0}/front-family.png, then at {0}/front-rear-map.png.\n", folder);
    fmt::print("{}", wrapped("Front alone beams and is 20 dB down behind; both together radiate all round, "
                             "and only a full family of "
                             "angles shows it."));
}

}  // namespace

void addDemo(CLI::App& app, Shell& shell) {
    auto folder = std::make_shared<std::string>("demo");
    CLI::App* sub =
        app.add_subcommand("demo", "Record an invented unit, take the recordings in, make its families");
    sub->add_option("--out", *folder, "The folder to make (default: demo)");
    sub->callback([folder, &shell] { shell.chosen = [folder, &shell] { carryOut(*folder, shell); }; });
}

}  // namespace volvelle
