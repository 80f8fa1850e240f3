#include "Ingest/Settings.h"

#include "Ingest/ResponseText.h"
#include "Run/OutputFolder.h"
#include "Signal/ParallelFor.h"
#include "Text/Error.h"
#include "Text/InQuotes.h"
#include "Text/Nearest.h"
#include "Text/Number.h"
#include "Text/TextFile.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace volvelle {

namespace {

constexpr double defaultTextDriveVolts = 2.83;
const Range lengthM = Range::aboveTo(0, longestM);
const Range perFullScale = Range::aboveTo(0, largestPerFullScale);

Error wrongUse(const std::string& problem, const std::string& option, const std::string& advice) {
    return Error(ErrorKind::usage, problem, option, advice);
}

void checkNumber(const std::optional<double>& value, const Range& range, const std::string& option,
                 const std::string& unit) {
    if (value) requireInRange(*value, range, {ErrorKind::usage, option, "the value", unit});
}

void checkForm(const IngestOptions& o) {
    const int forms = int{!o.excitationPath.empty()} + int{o.impulseResponses} + int{o.textResponses};
    if (forms == 0) {
        throw wrongUse(
            "nothing says what the files are", "--excitation",
            "Name the excitation's file with --excitation, or give --impulse-responses or --text-responses");
    }
    if (forms > 1) {
        throw wrongUse("more than one of --excitation, --impulse-responses and --text-responses is given",
                       o.excitationPath.empty() ? "--impulse-responses" : "--excitation",
                       "Give the one that the files are");
    }
}

void checkLoopback(const IngestOptions& o) {
    if (!o.loopbackChannel) {
        if (o.loopbackVoltsPerFullScale && o.excitationPath.empty()) {
            throw wrongUse("has no meaning without recordings", "--loopback-volts-per-full-scale",
                           "Leave it out");
        }
        if (o.loopbackVoltsPerFullScale) {
            throw wrongUse("no loopback channel is named", "--loopback-volts-per-full-scale",
                           "Name it with --loopback-channel, or leave this out");
        }
        return;
    }
    if (o.excitationPath.empty()) {
        throw wrongUse("only recordings have a loopback channel", "--loopback-channel", "Leave it out");
    }
    if (*o.loopbackChannel < 2 || *o.loopbackChannel > highestChannel) {
        throw wrongUse(fmt::format("channel {} cannot be the loopback", *o.loopbackChannel),
                       "--loopback-channel", "Channel 1 is the microphone; give 2 or more");
    }
}

void checkTextOptions(const IngestOptions& o) {
    if (!o.textResponses) {
        if (o.textDriveVolts)
            throw wrongUse("only text responses have it", "--text-drive-volts", "Leave it out");
        return;
    }
    const std::array<std::pair<bool, const char*>, 3> senseless{
        std::pair{o.pascalPerFullScale.has_value(), "--pascal-per-full-scale"},
        std::pair{o.voltsPerFullScale.has_value(), "--volts-per-full-scale"},
        std::pair{!o.microphoneResponsePath.empty(), "--microphone-response"}};
    for (const auto& [given, option] : senseless) {
        if (given) {
            throw wrongUse("text responses are levels in dB re 20 µPa already", option,
                           "Leave it out; the voltage that they were taken at is --text-drive-volts");
        }
    }
}

double stated(double value) {
    return std::isfinite(value) ? value : notStated;
}

/// The option's value, else the plan's; Error{usage} where neither states it.
double required(const std::optional<double>& option, double inPlan, const Range& range,
                const std::string& name, const std::string& what, const std::string& planPath) {
    if (option) return *option;
    if (std::isfinite(inPlan)) {
        requireInRange(inPlan, range, {ErrorKind::input, planPath, what, ""});
        return inPlan;
    }
    throw wrongUse(fmt::format("{} is not stated", what), name, "Give it here or in the plan");
}

void resolveCalibration(IngestSettings& settings, const IngestOptions& o) {
    Plan& plan = settings.run.plan;
    Calibration& calibration = settings.run.calibration;
    if (settings.form == CaptureForm::textResponse) {
        calibration.pascalPerFullScale = 1;
        // Units with an input of their own are not scaled to 2.83 V: their levels stay as they were brought.
        const bool ownInput = plan.driveQuantity == DriveQuantity::inputVolts ||
                              plan.driveQuantity == DriveQuantity::digitalFullScale;
        calibration.voltsPerFullScale = o.textDriveVolts.value_or(ownInput ? 1 : defaultTextDriveVolts);
    } else {
        calibration.pascalPerFullScale =
            required(o.pascalPerFullScale, plan.pascalPerFullScale, perFullScale, "--pascal-per-full-scale",
                     "the sound pressure at the microphone's full scale in pascal", o.planPath);
        // What is driven in digital full scale has one full scale per full scale, unless somebody says
        // otherwise.
        const bool digital = plan.driveQuantity == DriveQuantity::digitalFullScale;
        const double fallback =
            digital && !std::isfinite(plan.voltsPerFullScale) ? 1 : plan.voltsPerFullScale;
        calibration.voltsPerFullScale =
            required(o.voltsPerFullScale, fallback, perFullScale, "--volts-per-full-scale",
                     "the voltage at the excitation's full scale", o.planPath);
    }
    if (settings.run.timeZero == TimeZero::loopback) {
        const double inPlan = std::isfinite(plan.loopbackVoltsPerFullScale) ? plan.loopbackVoltsPerFullScale
                                                                            : calibration.voltsPerFullScale;
        settings.planStatesLoopback = std::isfinite(plan.loopbackVoltsPerFullScale);
        calibration.loopbackVoltsPerFullScale =
            required(o.loopbackVoltsPerFullScale, inPlan, perFullScale, "--loopback-volts-per-full-scale",
                     "the voltage at the loopback's full scale", o.planPath);
    }
    plan.pascalPerFullScale = calibration.pascalPerFullScale;
    plan.voltsPerFullScale = calibration.voltsPerFullScale;
    plan.loopbackVoltsPerFullScale = calibration.loopbackVoltsPerFullScale;
    if (!o.microphoneResponsePath.empty()) {
        calibration.microphone =
            parseMicrophoneResponse(readTextFile(o.microphoneResponsePath), o.microphoneResponsePath);
    }
}

/// Paths and the command line are kept in the run, as UTF-8.
void checkText(const std::string& text, const std::string& option) {
    try {
        requireUtf8(text, option);
    } catch (const Error&) {
        throw wrongUse("is not UTF-8 text", option, "Rename the file");
    }
}

CaptureForm formOf(const IngestOptions& o) {
    if (o.textResponses) return CaptureForm::textResponse;
    return o.impulseResponses ? CaptureForm::impulseResponse : CaptureForm::recording;
}

TimeZero timeZeroOf(CaptureForm form, bool loopback) {
    switch (form) {
        case CaptureForm::textResponse:
            return TimeZero::textPhase;
        case CaptureForm::impulseResponse:
            return TimeZero::impulse;
        case CaptureForm::recording:
            break;
    }
    return loopback ? TimeZero::loopback : TimeZero::excitationFile;
}

}  // namespace

void checkOptions(const IngestOptions& o) {
    if (o.manifestPath.empty())
        throw wrongUse("no manifest is named", "MANIFEST.csv", "Name the list of recordings");
    if (o.outputPath.empty()) throw wrongUse("no run file is named", "--out", "Name the file to be made");
    checkForm(o);
    checkText(o.manifestPath, "MANIFEST.csv");
    checkText(o.outputPath, "--out");
    checkText(o.excitationPath, "--excitation");
    checkText(o.planPath, "--plan");
    checkText(o.microphoneResponsePath, "--microphone-response");
    checkNumber(o.distanceM, lengthM, "--distance-m", "metres");
    checkNumber(o.pascalPerFullScale, perFullScale, "--pascal-per-full-scale", "pascal");
    checkNumber(o.voltsPerFullScale, perFullScale, "--volts-per-full-scale", "volts");
    checkNumber(o.loopbackVoltsPerFullScale, perFullScale, "--loopback-volts-per-full-scale", "volts");
    checkNumber(o.textDriveVolts, perFullScale, "--text-drive-volts", "volts");
    checkNumber(o.unitSizeM, lengthM, "--unit-size-m", "metres");
    checkLoopback(o);
    checkTextOptions(o);
    if (o.jobs < 0 || o.jobs > mostJobs) {
        throw wrongUse(fmt::format("{} threads make no sense", o.jobs), "--jobs",
                       fmt::format("Give 1 to {}", mostJobs));
    }
}

void checkOutput(const std::string& path, const Files& files) {
    if (files.exists(path)) {
        throw Error(ErrorKind::output, "exists already", path,
                    "Choose another name; a run is never replaced");
    }
    requireWritableFolder(path);
}

IngestSettings resolveSettings(const IngestOptions& o) {
    IngestSettings settings;
    settings.form = formOf(o);
    settings.jobs = o.jobs > 0 ? o.jobs : std::min(processorCount(), mostJobs);
    settings.channels = {1};
    if (o.loopbackChannel) settings.channels.push_back(*o.loopbackChannel);
    RunRecord& run = settings.run;
    Plan& plan = run.plan;
    if (!o.planPath.empty()) plan = parsePlan(readTextFile(o.planPath), o.planPath);
    if (o.driveQuantity) plan.driveQuantity = *o.driveQuantity;
    if (o.unitSizeM) plan.unitSizeM = *o.unitSizeM;
    if (o.air) plan.air = *o.air;
    plan.distanceM =
        required(o.distanceM, plan.distanceM, lengthM, "--distance-m",
                 "the distance from the microphone to the reference point in metres", o.planPath);
    run.nominalDistanceM = plan.distanceM;
    run.unitSizeM = stated(plan.unitSizeM);
    run.air = plan.air;
    run.timeZero = timeZeroOf(settings.form, o.loopbackChannel.has_value());
    resolveCalibration(settings, o);
    return settings;
}

JudgeSettings judgeSettings(const RunRecord& run) {
    JudgeSettings settings;
    settings.latencyS = run.plan.latencyS;
    return settings;
}

DriveQuantity parseDriveQuantity(const std::string& text) {
    const std::vector<std::string> names{"terminal-volts", "input-volts", "digital-full-scale"};
    const auto found = std::find(names.begin(), names.end(), text);
    if (found == names.end()) {
        throw wrongUse(fmt::format("{} is not known", inQuotes(text)), "--drive-quantity",
                       suggestion(text, names));
    }
    constexpr std::array quantities{DriveQuantity::terminalVolts, DriveQuantity::inputVolts,
                                    DriveQuantity::digitalFullScale};
    return quantities[static_cast<std::size_t>(found - names.begin())];
}

Air parseAirOption(const std::string& text) {
    const auto first = text.find(','),
               second = first == std::string::npos ? first : text.find(',', first + 1);
    if (second == std::string::npos || text.find(',', second + 1) != std::string::npos) {
        throw wrongUse(
            fmt::format("{} is not three numbers", inQuotes(text)), "--air",
            "Give degrees Celsius, percent and kilopascal with commas between, such as 20,50,101.325");
    }
    const auto number = [](const std::string& part, const Range& range, const char* field, const char* unit) {
        return requireNumber(part, range, {ErrorKind::usage, "--air", field, unit});
    };
    Air air = Air::notStated();
    air.temperatureC =
        number(text.substr(0, first), Range::between(-50, 70), "the temperature", "degrees Celsius");
    air.relativeHumidityPercent =
        number(text.substr(first + 1, second - first - 1), Range::between(0, 100), "the humidity", "percent");
    air.pressureKPa = number(text.substr(second + 1), Range::between(20, 120), "the pressure", "kilopascal");
    return air;
}

}  // namespace volvelle
