#include "Command/QualityTable.h"
#include "Command/Results.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Ingest/Ingest.h"
#include "Text/Version.h"

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
    const Range perFullScale = Range::aboveTo(0, largestPerFullScale), length = Range::aboveTo(0, longestM);
    if (!line.loopbackChannel.empty())
        o.loopbackChannel = wholeNumberOf("--loopback-channel", line.loopbackChannel, 2, highestChannel, 2);
    o.distanceM = numberOf("--distance-m", line.distanceM, length, "metres");
    o.pascalPerFullScale = numberOf("--pascal-per-full-scale", line.pascal, perFullScale, "pascal");
    o.voltsPerFullScale = numberOf("--volts-per-full-scale", line.volts, perFullScale, "volts");
    o.loopbackVoltsPerFullScale =
        numberOf("--loopback-volts-per-full-scale", line.loopbackVolts, perFullScale, "volts");
    o.textDriveVolts = numberOf("--text-drive-volts", line.textDriveVolts, perFullScale, "volts");
    o.unitSizeM = numberOf("--unit-size-m", line.sizeM, length, "metres");
    if (!line.quantity.empty()) o.driveQuantity = parseDriveQuantity(line.quantity);
    if (!line.air.empty()) o.air = parseAirOption(line.air);
    o.jobs = jobsOf(line.jobs);
    o.commandLine = shell.commandLine;
    o.programVersion = programVersion();
    return o;
}

void carryOut(const IngestLine& line, const Shell& shell) {
    IngestOptions options = parsed(line, shell);
    const Progress progress;
    options.progress = [&](std::size_t done, std::size_t total) { progress.show(done, total); };
    const IngestSummary summary = ingest(options);
    progress.clear();
    say(ingestReport(summary.run, summary.remarks, summary.warnings));
    say(wrapped("Sealed run: " + options.outputPath));
}

}  // namespace

void addIngest(CLI::App& app, Shell& shell) {
    auto line = std::make_shared<IngestLine>();
    IngestOptions& o = line->options;
    CLI::App* sub = app.add_subcommand("ingest", "Make a sealed run of a folder of recordings");
    sub->add_option("MANIFEST.csv", o.manifestPath,
                    "Columns file,drive,orbit,angle_deg or file,drive,azimuth_deg,elevation_deg; "
                    "optional repeat, stance, distance_m")
        ->required();
    addText(*sub, "--out", o.outputPath, "RUN.h5", "The run file to make; never replaces one")->required();
    addText(*sub, "--excitation", o.excitationPath, "SWEEP.wav",
            "The files are recordings of this excitation, as it was played");
    sub->add_flag("--impulse-responses", o.impulseResponses,
                  "The files are impulse responses that begin at the instant of excitation");
    sub->add_flag("--text-responses", o.textResponses, "The files are texts of Hz, dB and degrees");
    addText(*sub, "--loopback-channel", line->loopbackChannel, "N",
            "The channel that recorded the excitation, 2 or more; only with --excitation");
    addText(*sub, "--distance-m", line->distanceM, "M",
            "From the microphone to the unit's reference point at 0°");
    addText(*sub, "--pascal-per-full-scale", line->pascal, "PA", "Sound pressure that makes a sample of 1.0");
    addText(*sub, "--volts-per-full-scale", line->volts, "V",
            "Voltage at the terminals for a sample of 1.0 of the excitation");
    addText(*sub, "--loopback-volts-per-full-scale", line->loopbackVolts, "V",
            "The same for the loopback channel (where not given: as --volts-per-full-scale)");
    addText(*sub, "--text-drive-volts", line->textDriveVolts, "V",
            "Voltage (RMS) that the levels of texts were taken at (where not given: 2.83)");
    addText(*sub, "--drive-quantity", line->quantity, "WORD",
            "What drives the unit: terminal-volts (where not given), input-volts, digital-full-scale");
    addText(*sub, "--plan", o.planPath, "PLAN.json",
            "Unit, chamber, calibration, people and dates (Docs/plan.md); options override it");
    addText(*sub, "--unit-size-m", line->sizeM, "M", "The unit's largest dimension");
    addText(*sub, "--microphone-response", o.microphoneResponsePath, "FILE.csv",
            "frequency_hz,level_db[,phase_deg] of the microphone, divided out later");
    addText(*sub, "--air", line->air, "C,RH,KPA", "Degrees Celsius, percent and kilopascal: 20,50,101.325");
    addText(*sub, "--jobs", line->jobs, "N", "Threads (where not given: one for each processor)");
    sub->footer(
        "Nobody is in the chamber while the table turns or a sweep plays: Docs/safety.md. Local codes and "
        "licensed practice come first.");
    sub->callback([line, &shell] { shell.chosen = [line, &shell] { carryOut(*line, shell); }; });
}

}  // namespace volvelle
