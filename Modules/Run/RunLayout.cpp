#include "Run/RunLayout.h"

#include "Run/DriveLayout.h"
#include "Run/FormatError.h"
#include "Run/RunNames.h"
#include "Text/Error.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace volvelle {

namespace {

[[noreturn]] void contradict(const std::string& drive, const std::string& what) {
    throw Error(ErrorKind::bug, what, "drive '" + drive + "'", "Report this");
}

void require(bool holds, const DriveRecord& drive, const char* otherwise) {
    if (!holds) contradict(drive.name, otherwise);
}

void requireStorable(const DriveRecord& drive) {
    const auto require = [&](bool holds, const char* otherwise) { volvelle::require(holds, drive, otherwise); };
    require(drive.samplesPerChannel > 0, "has no samples");
    if (drive.form == CaptureForm::textResponse) {
        require(drive.frequencyHz.size() == drive.samplesPerChannel, "has another number of frequencies");
        require(drive.sampleType == SampleType::float32, "has text responses that are not float32");
        return;
    }
    require(!drive.channelRoles.empty(), "has no channels");
    require(std::isfinite(drive.sampleRateHz) && drive.sampleRateHz > 0, "has no sample rate");
    const ExcitationRecord& e = drive.excitation;
    require(e.samples.empty() || (std::isfinite(e.sampleRateHz) && e.sampleRateHz > 0),
            "has an excitation without a sample rate");
}

void writePlan(const Hdf5Group& root, const Plan& plan) {
    const Hdf5Group group = root.createGroup("plan");
    Plan stated = plan;
    stated.text.clear();
    group.writeText("json", planAsJson(stated));
    group.writeText("document", plan.text);
    // For readers without this program; what counts is the JSON text.
    const std::pair<const char*, const std::string*> texts[] = {{"unit_model", &plan.unitModel},
                                                                {"unit_serial", &plan.unitSerial},
                                                                {"unit_state", &plan.unitState},
                                                                {"calibration_id", &plan.calibrationId},
                                                                {"chamber", &plan.chamberName},
                                                                {"place", &plan.place},
                                                                {"engineer", &plan.engineer},
                                                                {"measured_on", &plan.measuredOn},
                                                                {"check_standard", &plan.checkStandard},
                                                                {"purpose", &plan.purpose}};
    for (const auto& [name, text] : texts) group.setAttribute(name, *text);
    group.setAttribute("drive_quantity", wordFor(plan.driveQuantity));
    group.setAttribute("unit_size_m", plan.unitSizeM);
    group.setAttribute("unit_latency_s", plan.latencyS);
    group.setAttribute("reference_point_m", std::span<const double>(plan.referencePointM));
    group.setAttribute("distance_m", plan.distanceM);
    group.setAttribute("chamber_lowest_hz", plan.chamberLowestHz);
}

void writeCalibration(const Hdf5Group& root, const Calibration& calibration) {
    const Hdf5Group group = root.createGroup("calibration");
    group.writeNumber("pascal_per_full_scale", calibration.pascalPerFullScale, "Pa");
    group.writeNumber("volts_per_full_scale", calibration.voltsPerFullScale, "V");
    group.writeNumber("loopback_volts_per_full_scale", calibration.loopbackVoltsPerFullScale, "V");
    const MicrophoneResponse& microphone = calibration.microphone;
    group.setAttribute("microphone_response_file", microphone.sourceFile);
    if (!microphone.isStated()) return;
    const std::vector<std::uint64_t> dims{microphone.frequencyHz.size()};
    group.writeNumbers("microphone_frequency", microphone.frequencyHz, dims, "Hz");
    group.makeScale("microphone_frequency", "frequency");
    group.writeNumbers("microphone_level", microphone.levelDb, dims, "dB");
    group.attachScale("microphone_level", 0, group, "microphone_frequency");
    if (microphone.phaseDeg.empty()) return;
    group.writeNumbers("microphone_phase", microphone.phaseDeg, dims, "deg");
    group.attachScale("microphone_phase", 0, group, "microphone_frequency");
}

void writeConditions(const Hdf5Group& root, const RunRecord& run) {
    const Hdf5Group group = root.createGroup("conditions");
    group.writeNumber("distance_m", run.nominalDistanceM, "m");
    group.writeNumber("unit_size_m", run.unitSizeM, "m");
    group.writeNumber("temperature_c", run.air.temperatureC, "degC");
    group.writeNumber("relative_humidity", run.air.relativeHumidityPercent, "%");
    group.writeNumber("pressure_kpa", run.air.pressureKPa, "kPa");
}

void writeProvenance(const Hdf5Group& root, const RunRecord& run) {
    const Hdf5Group group = root.createGroup("provenance");
    group.setAttribute("program_version", run.provenance.programVersion);
    group.setAttribute("utc", run.provenance.utc);
    group.setAttribute("parent_run", run.provenance.parentRun);
    group.writeText("command_line", run.provenance.commandLine);
    if (run.events.empty()) return;
    std::vector<std::string> times, texts;
    for (const Event& event : run.events) {
        times.push_back(event.utc);
        texts.push_back(event.text);
    }
    group.writeTexts("event_utc", times);
    group.makeScale("event_utc", "events");
    group.writeTexts("event", texts);
    group.attachScale("event", 0, group, "event_utc");
}

Plan readPlan(const Hdf5Group& root, const std::string& path) {
    const Hdf5Group group = root.openGroup("plan");
    const std::string json = group.text("json");
    try {
        Plan plan = parsePlan(json, path + ": plan/json");
        plan.text = group.text("document");
        return plan;
    } catch (const Error& error) {
        failFormat(error.where(), "the plan that it holds " + error.problem());
    }
}

Calibration readCalibration(const Hdf5Group& root, const std::string& path) {
    const Hdf5Group group = root.openGroup("calibration");
    Calibration calibration;
    calibration.pascalPerFullScale = group.number("pascal_per_full_scale");
    calibration.voltsPerFullScale = group.number("volts_per_full_scale");
    calibration.loopbackVoltsPerFullScale = group.number("loopback_volts_per_full_scale");
    MicrophoneResponse& microphone = calibration.microphone;
    microphone.sourceFile = group.attributeText("microphone_response_file");
    if (!group.has("microphone_frequency")) return calibration;
    microphone.frequencyHz = group.numbers("microphone_frequency");
    microphone.levelDb = group.numbers("microphone_level");
    if (group.has("microphone_phase")) microphone.phaseDeg = group.numbers("microphone_phase");
    const std::size_t count = microphone.frequencyHz.size();
    if (microphone.levelDb.size() != count ||
        (!microphone.phaseDeg.empty() && microphone.phaseDeg.size() != count))
        failFormat(path, "the microphone's response has columns of unequal length");
    return calibration;
}

void readConditions(const Hdf5Group& root, RunRecord& run) {
    const Hdf5Group group = root.openGroup("conditions");
    run.nominalDistanceM = group.number("distance_m");
    run.unitSizeM = group.number("unit_size_m");
    run.air.temperatureC = group.number("temperature_c");
    run.air.relativeHumidityPercent = group.number("relative_humidity");
    run.air.pressureKPa = group.number("pressure_kpa");
}

void readProvenance(const Hdf5Group& root, RunRecord& run, const std::string& path) {
    const Hdf5Group group = root.openGroup("provenance");
    run.provenance.programVersion = group.attributeText("program_version");
    run.provenance.utc = group.attributeText("utc");
    run.provenance.parentRun = group.attributeText("parent_run");
    run.provenance.commandLine = group.text("command_line");
    if (!group.has("event")) return;
    const auto times = group.texts("event_utc"), texts = group.texts("event");
    if (times.size() != texts.size()) failFormat(path, "the events have columns of unequal length");
    for (std::size_t i = 0; i < times.size(); ++i) run.events.push_back({times[i], texts[i]});
}

void requireStorableTables(const RunRecord& run) {
    std::set<std::string> names;
    for (const DriveRecord& drive : run.drives) {
        const bool isName = !drive.name.empty() && drive.name != "." && drive.name.size() <= 1000 &&
                            drive.name.find('/') == std::string::npos &&
                            drive.name.find('\0') == std::string::npos;
        if (!isName)
            throw Error(ErrorKind::input, "cannot be a drive's name in a run file",
                        "drive '" + drive.name + "'",
                        "Use letters, digits and '-', and '+' between sections");
        if (!names.insert(drive.name).second) contradict(drive.name, "stands twice in the run");
        requireStorable(drive);
    }
    parsePlan(planAsJson(run.plan), "plan");
    if (run.drives.empty()) throw Error(ErrorKind::bug, "has no drives", "run", "Report this");
    const MicrophoneResponse& m = run.calibration.microphone;
    if (m.levelDb.size() != m.frequencyHz.size() ||
        (!m.phaseDeg.empty() && m.phaseDeg.size() != m.frequencyHz.size()))
        throw Error(ErrorKind::bug, "has columns of unequal length", "microphone response", "Report this");
}

void sortByPlace(std::vector<StoredRows>& rows) {
    std::sort(rows.begin(), rows.end(),
              [](const StoredRows& a, const StoredRows& b) { return a.offset < b.offset; });
}

/// All but the drives, whose groups it makes.
std::vector<Hdf5Group> writeTables(const Hdf5Group& root, const RunRecord& run, const char* format) {
    root.setAttribute("format", format);
    root.setAttribute("format_version", static_cast<std::int32_t>(runFormatVersion));
    root.setAttribute("time_zero", wordFor(run.timeZero));
    root.writeNumbers("octave_band", judgedOctavesHz(), {judgedOctavesHz().size()}, "Hz");
    root.makeScale("octave_band", "octave bands");
    std::vector<std::string> names;
    for (const DriveRecord& drive : run.drives) names.push_back(drive.name);
    root.writeTexts("drive_names", names);
    writePlan(root, run.plan);
    writeCalibration(root, run.calibration);
    writeConditions(root, run);
    writeProvenance(root, run);
    const Hdf5Group drives = root.createGroup("drives");
    std::vector<Hdf5Group> groups;
    for (const DriveRecord& drive : run.drives) groups.push_back(drives.createGroup(drive.name));
    return groups;
}

using ReadDrive = DriveRecord(const Hdf5Group&, const std::string&, std::size_t, const std::string&,
                              std::vector<StoredRows>&);

Structure readTables(const Hdf5Group& root, const std::string& path, ReadDrive readOneDrive) {
    Structure structure;
    RunRecord& run = structure.record;
    run.timeZero = attributeWord<TimeZero>(root, "time_zero", path);
    run.plan = readPlan(root, path);
    run.calibration = readCalibration(root, path);
    readConditions(root, run);
    readProvenance(root, run, path);
    const Hdf5Group drives = root.openGroup("drives");
    for (const std::string& name : root.texts("drive_names"))
        run.drives.push_back(
            readOneDrive(drives.openGroup(name), name, run.drives.size(), path, structure.rows));
    return structure;
}

}  // namespace

void requireStorable(const RunRecord& run) {
    requireStorableTables(run);
    for (const DriveRecord& drive : run.drives) require(!drive.captures.empty(), drive, "has no captures");
}

void requireStorableHead(const RunRecord& run) {
    requireStorableTables(run);
    for (const DriveRecord& drive : run.drives) {
        require(drive.captures.empty(), drive, "has captures before the run begins");
        require(drive.form != CaptureForm::textResponse, drive, "cannot be text responses while it is captured");
    }
    if (!run.events.empty()) throw Error(ErrorKind::bug, "has events before it begins", "run", "Report this");
}

std::uint32_t userBlockFor(const RunRecord& run) {
    std::vector<SealEntry> entries;
    const auto add = [&](const std::string& name, std::size_t rows) {
        entries.push_back({SealEntry::Kind::samples, name, 0, 0, std::vector<Digest>(rows)});
        // HDF5 may put tables between any two stretches of samples.
        entries.push_back({SealEntry::Kind::structure, "metadata 1234567", 0, 0, std::vector<Digest>(1)});
    };
    add("metadata", 1);
    for (const DriveRecord& drive : run.drives) {
        const std::string longestName = "drives/" + drive.name + "/excitation_time";
        const std::size_t captures = drive.captures.size();
        add(longestName, captures);
        add(longestName, drive.form == CaptureForm::textResponse ? captures : 1);
        add(longestName, 1);
        add(longestName, 1);
    }
    return userBlockFor(entries);
}

std::vector<StoredRows> writeStructure(const Hdf5File& file, const RunRecord& run) {
    const std::vector<Hdf5Group> groups = writeTables(file.root(), run, runFormatName);
    for (std::size_t i = 0; i < groups.size(); ++i) writeDriveTables(file.root(), groups[i], run.drives[i]);
    std::vector<StoredRows> all;  // after all tables, so that these lie together
    for (std::size_t i = 0; i < groups.size(); ++i) {
        const auto rows = reserveDriveRows(groups[i], run.drives[i], i);
        all.insert(all.end(), rows.begin(), rows.end());
    }
    sortByPlace(all);
    return all;
}

Structure readStructure(const Hdf5File& file, const std::string& path) {
    const std::string format = file.root().attributeText("format");
    if (format != runFormatName && format.starts_with(runFormatName))
        throw Error(ErrorKind::input, "is one part of a run under way", path, "Name the run, or its folder");
    return readTables(file.root(), path, readDrive);
}

std::vector<StoredRows> writeHeadStructure(const Hdf5File& file, const RunRecord& run) {
    const std::vector<Hdf5Group> groups = writeTables(file.root(), run, headFormatName);
    for (std::size_t i = 0; i < groups.size(); ++i) writeDriveHead(groups[i], run.drives[i]);
    std::vector<StoredRows> all;
    for (std::size_t i = 0; i < groups.size(); ++i) {
        const auto rows = reserveHeadRows(groups[i], run.drives[i], i);
        all.insert(all.end(), rows.begin(), rows.end());
    }
    sortByPlace(all);
    return all;
}

Structure readHeadStructure(const Hdf5File& file, const std::string& path) {
    return readTables(file.root(), path, readDriveHead);
}

}  // namespace volvelle
