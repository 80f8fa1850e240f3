#include "Command/QualityTable.h"
#include "Command/Shell.h"
#include "Ingest/Ingest.h"
#include "Text/Version.h"

#include <fmt/core.h>
#include <unistd.h>

#include <cstdio>
#include <memory>

namespace volvelle {

namespace {

/// The options as they were written.
struct IngestLine {
    IngestOptions options;
    std::string loopbackChannel, distanceM, pascal, volts, loopbackVolts, textDriveVolts, quantity, sizeM,
        air, jobs;
};

IngestOptions parsed(const IngestLine& line, const Shell& shell) {
    IngestOptions o = line.options;
    if (!line.loopbackChannel.empty())
        o.loopbackChannel = wholeNumberOf("--loopback-channel", line.loopbackChannel, 2, 1024, 2);
    o.distanceM = numberOf("--distance-m", line.distanceM);
    o.pascalPerFullScale = numberOf("--pascal-per-full-scale", line.pascal);
    o.voltsPerFullScale = numberOf("--volts-per-full-scale", line.volts);
    o.loopbackVoltsPerFullScale = numberOf("--loopback-volts-per-full-scale", line.loopbackVolts);
    o.textDriveVolts = numberOf("--text-drive-volts", line.textDriveVolts);
    o.unitSizeM = numberOf("--unit-size-m", line.sizeM);
    if (!line.quantity.empty()) o.driveQuantity = parseDriveQuantity(line.quantity);
    if (!line.air.empty()) o.air = parseAirOption(line.air);
    o.jobs = jobsOf(line.jobs);
    o.commandLine = shell.commandLine;
    o.programVersion = programVersion();
    return o;
}

void carryOut(const IngestLine& line, const Shell& shell) {
    IngestOptions options = parsed(line, shell);
    const bool terminal = isatty(STDERR_FILENO) == 1;
    if (terminal)
        options.progress = [](std::size_t done, std::size_t total) {
            fmt::print(stderr, "\r{} of {} captures", done, total);
        };
    const IngestSummary summary = ingest(options);
    if (terminal) fmt::print(stderr, "\r{:40}\r", "");
    fmt::print("{}", qualityReport(summary.run));
    for (const std::string& remark : summary.remarks) fmt::print("{}", wrapped(remark));
    for (const std::string& warning : summary.warnings) fmt::print("{}", wrapped("Beware: " + warning));
    fmt::print("{}", wrapped("Sealed run: " + options.outputPath));
}

}  // namespace

void addIngest(CLI::App& app, Shell& shell) {
    auto line = std::make_shared<IngestLine>();
    IngestOptions& o = line->options;
    CLI::App* sub = app.add_subcommand("ingest", "Make a sealed run of a folder of recordings");
    sub->add_option("MANIFEST", o.manifestPath,
                    "CSV: file,drive,orbit,angle_deg or azimuth_deg,elevation_deg")
        ->required();
    sub->add_option("--out", o.outputPath, "The run file to make")->required();
    sub->add_option("--excitation", o.excitationPath, "The files are recordings of this excitation");
    sub->add_flag("--impulse-responses", o.impulseResponses, "The files are impulse responses");
    sub->add_flag("--text-responses", o.textResponses, "The files are texts: Hz, dB, degrees");
    sub->add_option("--loopback-channel", line->loopbackChannel,
                    "Channel that recorded the excitation, 2 or more");
    sub->add_option("--distance-m", line->distanceM, "Microphone to reference point at 0°");
    sub->add_option("--pascal-per-full-scale", line->pascal, "Microphone calibration");
    sub->add_option("--volts-per-full-scale", line->volts, "Excitation at the terminals");
    sub->add_option("--loopback-volts-per-full-scale", line->loopbackVolts,
                    "The same for the loopback channel");
    sub->add_option("--text-drive-volts", line->textDriveVolts,
                    "Voltage that text levels were taken at (2.83)");
    sub->add_option("--drive-quantity", line->quantity,
                    "terminal-volts (default), input-volts, digital-full-scale");
    sub->add_option("--plan", o.planPath, "JSON: unit, chamber, calibration, people (Docs/plan.md)");
    sub->add_option("--unit-size-m", line->sizeM, "Largest dimension of the unit");
    sub->add_option("--microphone-response", o.microphoneResponsePath,
                    "CSV: frequency_hz,level_db[,phase_deg]");
    sub->add_option("--air", line->air, "Degrees Celsius, percent, kilopascal: 20,50,101.325");
    sub->add_option("--jobs", line->jobs, "Threads (default: one for each processor)");
    sub->callback([line, &shell] { shell.chosen = [line, &shell] { carryOut(*line, shell); }; });
}

}  // namespace volvelle
