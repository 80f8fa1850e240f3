#include "Command/DemoPlans.h"
#include "Command/DemoRecordings.h"
#include "Command/Results.h"
#include "Command/RunAccountText.h"
#include "Command/RunBench.h"
#include "Command/Screen.h"
#include "Command/SectionsPlates.h"
#include "Command/Shell.h"
#include "Export/FamilyCsv.h"
#include "Export/FamilyJson.h"
#include "Export/SectionsCsv.h"
#include "Families/MakeFamily.h"
#include "Run/CapturesUnderWay.h"
#include "Run/Files.h"
#include "Run/RunFile.h"
#include "Run/Unfinished.h"
#include "Sections/Interaction.h"
#include "Signal/ParallelFor.h"
#include "Text/Error.h"
#include "Text/TextFile.h"

#include <fmt/core.h>

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>
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

/// "12 of 72 positions" where standard error is a terminal.
class PositionCount final : public RunWatcher {
public:
    void progressed(const RunProgress& p) override {
        screen_.show(fmt::format("{} of {} positions", p.positionsDone, p.positions));
    }
    void clear() const { screen_.clear(); }

private:
    Progress screen_;
};

/// Files of one drive, several figures, and what sections add up to, into the folder of a run.
class ResultFolder {
public:
    explicit ResultFolder(std::string folder) : folder_(std::move(folder)) {}

    void add(const Family& family) {
        const std::string base = folder_ + "/" + fileName(family.drive, "");
        results_.push_back({base + ".csv", familyCsv(family)});
        results_.push_back({base + ".json", familyJson(family)});
        for (const FigureKind kind : figureKinds()) {
            const std::string name = base + "-" + figureKindName(kind);
            addFigures(results_, family, kind, name + ".svg", name + ".png");
        }
    }

    void add(const Interaction& interaction) {
        results_.push_back({folder_ + "/sections.csv", sectionsCsv(interaction)});
        addPlate(results_, sectionsPlate(interaction), folder_ + "/sections.svg", folder_ + "/sections.png");
        addPlate(results_, interactionPlate(interaction), folder_ + "/sections-map.svg",
                 folder_ + "/sections-map.png");
    }

    void addText(const std::string& name, const std::string& text) {
        results_.push_back({folder_ + "/" + name, text});
    }

    void write() const { writeResultFiles(results_, false); }

private:
    std::string folder_;
    std::vector<ResultFile> results_;
};

void makeResults(const std::string& runPath, ResultFolder& results) {
    const SealedRun run(runPath, diskFiles());
    for (const DriveRecord& drive : run.record().drives)
        results.add(makeFamily(run, drive.name, Recipe{}, processorCount()));
    const DriveParts parts = drivePartsOf(run.record(), "", run.path());
    const HeldSections held = holdSections(run, parts, Recipe{}, processorCount());
    results.add(interactionOf(held, sectionSettings({}, parts.sections)));
}

/// Carries a plan out in its simulated chamber and makes everything of it.
void measure(const std::string& folder, const char* planText, const Shell& shell) {
    diskFiles().makeFolder(folder);
    const std::string planPath = folder + "/plan.json", runPath = folder + "/run.h5";
    writeNewTextFile(planPath, planText);
    const PlannedRun planned = readPlannedRun(planPath, std::nullopt);
    sayNow("\n" + wrapped(fmt::format("{}: {} is turned through {} positions ...", planPath,
                                      planned.plan.unitModel, planned.set.positions.size())));
    RunBench bench(planned, false);
    const auto captures =
        CapturesUnderWay::begin(runPath, headNow(planned, bench, shell.commandLine), diskFiles());
    PositionCount count;
    const RunAccount account = conduct(planned.plan, planned.set, bench.equipment(), *captures, {}, count, {});
    count.clear();
    if (account.ending != Ending::complete) throw Error(ErrorKind::stopped, account.reason, folder, "Begin again");
    captures->seal();
    const std::string page = accountText(account, captures->record(), runPath);
    say(page);
    ResultFolder results(folder);
    results.addText("account.txt", page);
    makeResults(runPath, results);
    results.write();
}

void carryOut(const std::string& path, const Shell& shell) {
    Folder folder(path);
    sayNow(wrapped(
        "An invented laboratory measures two invented units in a simulated chamber: a two-way unit, and one whose "
        "sections face front and rear. Each section is measured alone and all together on two orbits of 10°."));
    measure(path + "/two-way", twoWayPlan(), shell);
    measure(path + "/front-rear", frontRearPlan(), shell);
    diskFiles().makeFolder(path + "/recordings");
    makeDemoRecordings(path + "/recordings", processorCount());
    folder.finished();
    say("\n" + wrapped(fmt::format("Look first at {0}/front-rear/front-family.png, then at "
                                   "{0}/front-rear/front-rear-map.png and {0}/front-rear/sections.png.",
                                   path)));
    say(wrapped("Front alone beams and is 20 dB down behind; both together radiate all round, and only a full family "
                "of angles shows it."));
    say(wrapped(fmt::format("{0}/two-way/woofer-tweeter-map.png shows where the two ways meet off the axis. "
                            "{0}/recordings holds recordings as another laboratory would bring them: see volvelle "
                            "ingest --help.",
                            path)));
}

}  // namespace

void addDemo(CLI::App& app, Shell& shell) {
    auto folder = std::make_shared<std::string>("demo");
    CLI::App* sub =
        app.add_subcommand("demo", "Measure two invented units in a simulated chamber, make everything of them");
    sub->add_option("--out", *folder, "The folder to make (where not given: demo)")->type_name("FOLDER");
    sub->callback([folder, &shell] { shell.chosen = [folder, &shell] { carryOut(*folder, shell); }; });
}

}  // namespace volvelle
