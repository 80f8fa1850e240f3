#include "Ingest/Ingest.h"

#include "Ingest/Intake.h"
#include "Ingest/Manifest.h"
#include "Ingest/Placement.h"
#include "Ingest/Settings.h"
#include "Quality/Judge.h"
#include "Run/RunFile.h"
#include "Text/Number.h"
#include "Text/TextFile.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <ctime>
#include <filesystem>
#include <map>

namespace volvelle {

namespace {

std::string utcNow() {
    const std::time_t now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
    std::tm utc{};
    gmtime_r(&now, &utc);
    return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}Z", utc.tm_year + 1900, utc.tm_mon + 1,
                       utc.tm_mday, utc.tm_hour, utc.tm_min, utc.tm_sec);
}

std::string idOf(const ManifestRow& row) {
    return fmt::format("{}/{}/{}/{}", row.drive, positionName(row.direction, row.orbit),
                       stanceName(row.stance), row.repeat);
}

Capture captureOf(const ManifestRow& row, const Placement& placement) {
    Capture capture;
    capture.id = idOf(row);
    capture.direction = placement.direction;
    capture.orbit = row.orbit;
    capture.angleDeg = row.angleDeg;
    capture.stance = row.stance;
    capture.distanceM = placement.distanceM;
    capture.repeat = row.repeat;
    capture.sourceFile = row.file;
    capture.notes = row.notes;
    return capture;
}

/// Fills in the drives and their captures; returns their files in the same order.
std::vector<std::vector<IncomingFile>> layOut(const Manifest& manifest, RunRecord& run) {
    const std::filesystem::path folder = std::filesystem::path(manifest.source).parent_path();
    std::vector<std::vector<IncomingFile>> incoming(manifest.drives.size());
    run.drives.resize(manifest.drives.size());
    for (std::size_t d = 0; d < manifest.drives.size(); ++d) run.drives[d].name = manifest.drives[d];
    for (const ManifestRow& row : manifest.rows) {
        const auto d = static_cast<std::size_t>(
            std::find(manifest.drives.begin(), manifest.drives.end(), row.drive) - manifest.drives.begin());
        const std::string line = manifest.where(row);
        run.drives[d].captures.push_back(
            captureOf(row, placementOf(row, run.plan.referencePointM, run.nominalDistanceM, line)));
        const std::string path = (folder / std::filesystem::path(row.file)).string();
        incoming[d].push_back({path, fmt::format("{} ({})", path, line), 0});
    }
    return incoming;
}

/// "1200", never "1.2e+03".
std::string inTwoDigits(double value) {
    const double step = std::pow(10, std::floor(std::log10(value)) - 1);
    return fixedText(std::round(value / step) * step, 0);
}

void warnNearField(const RunRecord& run, std::vector<std::string>& warnings) {
    double nearest = run.nominalDistanceM;
    for (const auto& drive : run.drives) {
        for (const auto& capture : drive.captures) nearest = std::min(nearest, capture.distanceM);
    }
    if (!std::isfinite(run.unitSizeM) || nearest >= 3 * run.unitSizeM) return;
    warnings.push_back(
        fmt::format("the microphone is {} m away, nearer than three times the unit's size of {} m: far-field "
                    "conditions hold up to about "
                    "{} Hz (Rayleigh distance)",
                    significantText(nearest, 4), significantText(run.unitSizeM, 4),
                    inTwoDigits(farFieldLimitHz(nearest, run.unitSizeM, run.air))));
}

void warnTimeZero(const RunRecord& run, std::vector<std::string>& warnings) {
    if (run.timeZero == TimeZero::excitationFile) {
        warnings.emplace_back(
            "there is no loopback channel, so time zero is the start of each file: sums of drives need your "
            "word that player "
            "and recorder ran on one clock and started together");
    }
    if (run.timeZero == TimeZero::textPhase) {
        warnings.emplace_back(
            "text responses do not say what their phases refer to: sums of drives need your word that they "
            "share a time zero");
    }
}

/// Manifests name files by paths from their own folder.
void warnSharedFiles(const Manifest& manifest, std::vector<std::string>& warnings) {
    std::map<std::string, const ManifestRow*> firsts;
    for (const ManifestRow& row : manifest.rows) {
        const std::string path = std::filesystem::path(row.file).lexically_normal().string();
        const auto [first, isNew] = firsts.emplace(path, &row);
        if (!isNew)
            warnings.push_back(fmt::format("lines {} and {} of the manifest name the same file, {}: one of the two "
                                           "positions is not what was recorded there",
                                           first->second->line, row.line, row.file));
    }
}

/// It was taken over from the excitation: nobody said so.
void warnLoopbackScale(const RunRecord& run, const IngestOptions& options, bool isInPlan,
                       std::vector<std::string>& warnings) {
    if (run.timeZero != TimeZero::loopback || options.loopbackVoltsPerFullScale || isInPlan) return;
    warnings.push_back(fmt::format("the loopback's volts per full scale are not stated: assumed as the "
                                   "excitation's, {}; every level follows them",
                                   significantText(run.calibration.loopbackVoltsPerFullScale, 4)));
}

std::vector<std::string> warningsOf(const RunRecord& run, int otherExcitationChannels) {
    std::vector<std::string> warnings;
    if (otherExcitationChannels > 0) {
        warnings.push_back(fmt::format("the excitation's file has {} channels; channel 1 is taken",
                                       otherExcitationChannels + 1));
    }
    warnTimeZero(run, warnings);
    warnNearField(run, warnings);
    return warnings;
}

void stamp(RunRecord& run, const IngestOptions& options, const IngestSummary& summary) {
    run.provenance.programVersion = options.programVersion;
    run.provenance.commandLine = options.commandLine;
    run.provenance.utc = utcNow();
    for (const auto* sentences : {&summary.remarks, &summary.warnings}) {
        for (const auto& sentence : *sentences) run.events.push_back({run.provenance.utc, sentence});
    }
}

}  // namespace

IngestSummary ingest(const IngestOptions& options, Files& files) {
    checkOptions(options);
    checkOutput(options.outputPath, files);
    IngestSettings settings = resolveSettings(options);
    RunRecord& run = settings.run;
    const Manifest manifest =
        parseManifest(readTextFile(options.manifestPath), options.manifestPath, run.plan);
    auto incoming = layOut(manifest, run);

    int otherExcitationChannels = 0;
    ExcitationRecord excitation;
    if (settings.form == CaptureForm::recording) {
        excitation = readExcitation(options.excitationPath, files, otherExcitationChannels);
    }
    for (auto& drive : run.drives) {
        drive.form = settings.form;
        drive.excitation = excitation;
    }

    const auto intake = settings.form == CaptureForm::textResponse
                            ? textIntake(std::move(incoming))
                            : soundIntake(std::move(incoming), settings, files);
    intake->describe(run);
    std::size_t done = 0;
    IngestSummary summary;
    summary.remarks = intake->judge(run, [&] {
        ++done;
        if (options.progress) options.progress(done, manifest.rows.size());
    });
    if (settings.form != CaptureForm::textResponse) {
        const auto found = judgeRun(run, judgeSettings(run));
        summary.remarks.insert(summary.remarks.end(), found.begin(), found.end());
    }
    summary.warnings = warningsOf(run, otherExcitationChannels);
    warnSharedFiles(manifest, summary.warnings);
    warnLoopbackScale(run, options, settings.planStatesLoopback, summary.warnings);
    stamp(run, options, summary);
    writeSealedRun(options.outputPath, run, *intake, files);
    summary.run = std::move(run);
    return summary;
}

}  // namespace volvelle
