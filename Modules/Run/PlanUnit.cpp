#include "Run/PlanFields.h"
#include "Text/InQuotes.h"
#include "Text/Nearest.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace volvelle {
namespace {

/// Names stand in drive names, positions, options and paths, so they keep clear of what separates there.
bool isName(const std::string& name, bool plusAllowed) {
    const auto isPlain = [&](char c) {
        if (static_cast<unsigned char>(c) <= 0x20 || c == 0x7F || (c == '+' && !plusAllowed)) return false;
        return std::string_view("/.,:;=\"'#\\").find(c) == std::string_view::npos;
    };
    return !name.empty() && name.size() <= 64 && std::all_of(name.begin(), name.end(), isPlain);
}

std::string checkedName(const JsonObject& object, bool plusAllowed) {
    const auto name = object.text("name");
    if (!name) throw object.error("name", "is missing", "Name it");
    if (!isName(*name, plusAllowed))
        throw object.error("name", fmt::format("is {}, which cannot be a name", inQuotes(*name)),
                           "Use up to 64 letters, digits, - and _");
    return *name;
}

SectionPlan readSection(const JsonObject& object) {
    SectionPlan section;
    section.name = checkedName(object, false);
    section.outputChannels = object.wholeNumbers("output_channels", 64, 1, 1024).value_or(std::vector<int>{});
    const std::set<int> channels(section.outputChannels.begin(), section.outputChannels.end());
    if (channels.size() != section.outputChannels.size())
        throw object.error("output_channels", "names a channel twice", "Name each channel once");
    section.gainDb = stated(object, "gain_db", Range::between(-120, 60));
    section.delayS = stated(object, "delay_s", Range::between(0, 1));
    section.reversed = object.choice("polarity", polarityNames).value_or(0) == 1;
    if (const auto band = object.numbers("band_hz", 2, 2, Range::aboveTo(0, 1e6))) {
        if ((*band)[0] >= (*band)[1])
            throw object.error("band_hz", "ends where it begins or before",
                               "Write the lower frequency first");
        section.lowHz = (*band)[0];
        section.highHz = (*band)[1];
    }
    section.voltageLimit = stated(object, "voltage_limit_v", Range::aboveTo(0, 1000));
    object.finish();
    return section;
}

std::vector<std::string> namesOf(const std::vector<SectionPlan>& sections) {
    std::vector<std::string> names;
    for (const auto& section : sections) names.push_back(section.name);
    return names;
}

/// The names in the plan's order. Each has to be known and to stand once.
std::vector<std::string> inPlanOrder(const JsonObject& object, std::string_view key,
                                     const std::vector<std::string>& chosen,
                                     const std::vector<std::string>& known, const char* whole = "the unit") {
    for (const auto& name : chosen) {
        if (std::find(known.begin(), known.end(), name) == known.end())
            throw object.error(key, fmt::format("names {}, which is no section of {}", inQuotes(name), whole),
                               suggestion(name, known));
        if (std::count(chosen.begin(), chosen.end(), name) > 1)
            throw object.error(key, fmt::format("names {} twice", inQuotes(name)), "Name each section once");
    }
    std::vector<std::string> ordered;
    for (const auto& name : known)
        if (std::find(chosen.begin(), chosen.end(), name) != chosen.end()) ordered.push_back(name);
    return ordered;
}

std::vector<std::string> parts(const std::string& name) {
    std::vector<std::string> found{""};
    for (const char c : name) {
        if (c == '+')
            found.emplace_back();
        else
            found.back() += c;
    }
    return found;
}

/// A name with a plus, or one that is also a section's, has to say which sections play; any other name is
/// free.
std::string driveName(const JsonObject& object, const std::vector<std::string>& sections,
                      const std::vector<std::string>& known) {
    const std::string joined = fmt::format("{}", fmt::join(sections, "+"));
    if (!object.has("name")) return joined;
    const std::string name = checkedName(object, true);
    const bool isSection = std::find(known.begin(), known.end(), name) != known.end();
    if (!isSection && name.find('+') == std::string::npos) return name;
    if (inPlanOrder(object, "name", parts(name), known) != sections)
        throw object.error("name", fmt::format("is {}, but the drive plays {}", inQuotes(name), joined),
                           "Leave the name out, or choose one that is no section's");
    return joined;
}

SweepPlan readSweep(const JsonObject& object) {
    SweepPlan sweep;
    sweep.startHz = stated(object, "start_hz", Range::aboveTo(0, 1e6));
    sweep.endHz = stated(object, "end_hz", Range::aboveTo(0, 1e6));
    if (sweep.startHz >= sweep.endHz)
        throw object.error("end_hz", "lies at the sweep's start or below",
                           "Sweep upwards: start_hz below end_hz");
    sweep.durationS = stated(object, "duration_s", Range::between(0.05, 300));
    sweep.peakV = stated(object, "peak_v", Range::aboveTo(0, 1000));
    object.finish();
    return sweep;
}

DrivePlan readDrive(const JsonObject& object, const std::vector<std::string>& known) {
    DrivePlan drive;
    const auto chosen = object.texts("sections", 64);
    if (!chosen)
        throw object.error("sections", "is missing", "List the sections that play: " + listed(known));
    drive.sections = inPlanOrder(object, "sections", *chosen, known);
    drive.name = driveName(object, drive.sections, known);
    drive.axisDeg = object.number("axis_deg").value_or(0);
    if (drive.axisDeg != 0 && drive.axisDeg != 180)
        throw object.error("axis_deg", fmt::format("is {}", shortestText(drive.axisDeg)),
                           "Write 0, or 180 for a section that faces backwards");
    drive.referenceSection = stated(object, "reference_section");
    if (!drive.referenceSection.empty())
        inPlanOrder(object, "reference_section", {drive.referenceSection}, drive.sections, "the drive");
    if (const auto sweep = object.object("sweep")) drive.sweep = readSweep(*sweep);
    object.finish();
    return drive;
}

}  // namespace

void readUnit(const JsonObject& object, Plan& plan) {
    plan.unitModel = stated(object, "model");
    plan.unitSerial = stated(object, "serial");
    plan.unitState = stated(object, "state");
    plan.unitSizeM = stated(object, "size_m", Range::aboveTo(0, 100));
    plan.latencyS = stated(object, "latency_s", Range::between(0, 10));
    if (const auto point = object.numbers("reference_point_from_axis_m", 3, 3, Range::between(-100, 100)))
        std::copy(point->begin(), point->end(), plan.referencePointM.begin());
    if (const auto quantity = object.choice("drive_quantity", driveQuantityNames))
        plan.driveQuantity = static_cast<DriveQuantity>(*quantity + 1);
    for (const auto& child : object.objects("sections", 64)) {
        plan.sections.push_back(readSection(child));
        const auto names = namesOf(plan.sections);
        if (std::count(names.begin(), names.end(), names.back()) > 1)
            throw child.error("name",
                              fmt::format("is {}, like that of another section", inQuotes(names.back())),
                              "Give each section a name of its own");
    }
    object.finish();
}

void readDrives(const JsonObject& root, Plan& plan) {
    const auto known = namesOf(plan.sections);
    for (const auto& object : root.objects("drives", 256)) {
        DrivePlan drive = readDrive(object, known);
        for (const auto& other : plan.drives)
            if (other.name == drive.name)
                throw object.error(object.has("name") ? "name" : "sections",
                                   fmt::format("makes a second drive {}", inQuotes(drive.name)),
                                   "Keep one of them");
        plan.drives.push_back(std::move(drive));
    }
}

}  // namespace volvelle
