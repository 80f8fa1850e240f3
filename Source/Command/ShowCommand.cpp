#include "Command/QualityTable.h"
#include "Command/Screen.h"
#include "Command/Shell.h"
#include "Families/Completeness.h"
#include "Run/OpenRun.h"

#include <fmt/core.h>

#include <cmath>
#include <memory>

namespace volvelle {

namespace {

std::string orNotStated(const std::string& text) {
    return text.empty() ? "not stated" : text;
}

std::string orNotStated(double value, const char* unit, int digits = 6) {
    return std::isfinite(value) ? significantText(value, digits) + " " + unit : "not stated";
}

const char* timeZeroText(TimeZero zero) {
    switch (zero) {
        case TimeZero::loopback:
            return "the excitation in the loopback channel, common to all captures";
        case TimeZero::excitationFile:
            return "the first sample of each file; common only if player and recorder are locked";
        case TimeZero::impulse:
            return "the beginning of the impulse responses";
        case TimeZero::textPhase:
            return "whatever the text files' phases refer to";
    }
    return "not stated";
}

void row(const char* name, const std::string& value) {
    say(labelled(name, value));
}

void showHead(const ReadableRun& run) {
    const RunRecord& r = run.record();
    const Plan& plan = r.plan;
    row("Run", run.path());
    row("Fingerprint", isUnsealed(run) ? "unsealed: captures under way" : run.fingerprint());
    row("Made", orNotStated(r.provenance.utc) + ", volvelle " + orNotStated(r.provenance.programVersion));
    row("Unit", orNotStated(plan.unitModel) + ", serial " + orNotStated(plan.unitSerial));
    row("Unit size", orNotStated(r.unitSizeM, "m"));
    row("Measured", orNotStated(plan.measuredOn) + ", by " + orNotStated(plan.engineer));
    row("Chamber", orNotStated(plan.chamberName) + ", lowest usable frequency " +
                       orNotStated(plan.chamberLowestHz, "Hz"));
    row("Distance", orNotStated(r.nominalDistanceM, "m"));
    row("Microphone",
        orNotStated(r.calibration.pascalPerFullScale, "Pa per full scale") +
            (r.calibration.microphone.isStated() ? ", response stated" : ", response not stated"));
    row("Excitation", orNotStated(r.calibration.voltsPerFullScale, "V per full scale"));
    row("Loopback", orNotStated(r.calibration.loopbackVoltsPerFullScale, "V per full scale"));
    row("Air", r.air.isStated() ? fmt::format("{} °C, {} %, {} kPa", significantText(r.air.temperatureC, 4),
                                              significantText(r.air.relativeHumidityPercent, 4),
                                              significantText(r.air.pressureKPa, 6))
                                : "not stated");
    row("Time zero", timeZeroText(r.timeZero));
}

void showDrives(const ReadableRun& run) {
    for (const DriveRecord& drive : run.record().drives) {
        const double seconds = static_cast<double>(drive.samplesPerChannel) / drive.sampleRateHz;
        const std::string samples =
            drive.form == CaptureForm::textResponse
                ? fmt::format("text responses at {} frequencies", drive.samplesPerChannel)
                : fmt::format("{} of {} s at {} Hz, {} channel{}, {} bits",
                              drive.form == CaptureForm::recording ? "recordings" : "impulse responses",
                              fixedText(seconds, 3), significantText(drive.sampleRateHz, 7),
                              drive.channelRoles.size(), drive.channelRoles.size() == 1 ? "" : "s",
                              drive.bitsPerSample);
        row(shortened("Drive " + drive.name, 80).c_str(),
            fmt::format("{} {}", drive.captures.size(), samples));
        row("  completeness", completeness(run.record(), drive));
    }
}

void carryOut(const std::string& path, bool captures) {
    const auto opened = openRun(path, diskFiles());
    const ReadableRun& run = *opened;
    showHead(run);
    showDrives(run);
    say("\n" + qualityReport(run.record()));
    for (const Event& event : run.record().events) say(wrapped(capitalised(event.text)));
    if (captures) say(captureTable(run.record()));
    say(wrapped(
        isUnsealed(run)
            ? "The run is unsealed: its captures are under way. Their tables agree with their digests. "
              "The samples are checked when they are used, and all at once by: volvelle verify"
            : "The seal and the tables agree with their digests. The samples are checked when they are "
              "used, and all at once by: volvelle verify"));
}

}  // namespace

void addShow(CLI::App& app, Shell& shell) {
    struct Line {
        std::string run;
        bool captures = false;
    };
    auto line = std::make_shared<Line>();
    CLI::App* sub = app.add_subcommand("show", "What a run holds, how complete and how good it is");
    sub->add_option("RUN.h5", line->run, "A run, sealed or under way")->required();
    sub->add_flag(
        "--captures", line->captures,
        "List every capture with its noise, decay, residue, arrival, clipping, polarity, doubts and notes");
    sub->callback([line, &shell] { shell.chosen = [line] { carryOut(line->run, line->captures); }; });
}

}  // namespace volvelle
