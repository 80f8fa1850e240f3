#include "Run/Plan.h"

#include "Text/Date.h"
#include "Text/InQuotes.h"
#include "Text/JsonReader.h"
#include "Text/JsonWriter.h"
#include "Text/Nearest.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace volvelle {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

const std::vector<std::string> quantityNames{"terminal-volts", "input-volts", "digital-full-scale"};
const std::vector<std::string> polarityNames{"normal", "reversed"};

double stated(const JsonObject& object, std::string_view key, const Range& range) {
    return object.number(key, range).value_or(nan);
}

std::string stated(const JsonObject& object, std::string_view key) {
    return object.text(key).value_or("");
}

std::string statedDate(const JsonObject& object, std::string_view key, bool withTime) {
    const std::string date = stated(object, key);
    if (date.empty() || (withTime ? isIsoDateOrTime(date) : isIsoDate(date))) return date;
    throw object.error(key, fmt::format("is {}, not a date", inQuotes(date)),
                       withTime ? "Write it as 2026-01-31 or 2026-01-31T10:30:00Z (ISO 8601)"
                                : "Write it as 2026-01-31 (ISO 8601)");
}

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

void readUnit(const JsonObject& object, Plan& plan) {
    plan.unitModel = stated(object, "model");
    plan.unitSerial = stated(object, "serial");
    plan.unitState = stated(object, "state");
    plan.unitSizeM = stated(object, "size_m", Range::aboveTo(0, 100));
    plan.latencyS = stated(object, "latency_s", Range::between(0, 10));
    if (const auto point = object.numbers("reference_point_from_axis_m", 3, 3, Range::between(-100, 100)))
        std::copy(point->begin(), point->end(), plan.referencePointM.begin());
    if (const auto quantity = object.choice("drive_quantity", quantityNames))
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
    object.finish();
    return drive;
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

void readCalibration(const JsonObject& object, Plan& plan) {
    plan.calibrationId = stated(object, "id");
    plan.pascalPerFullScale = stated(object, "pascal_per_full_scale", Range::aboveTo(0, 1e9));
    plan.voltsPerFullScale = stated(object, "volts_per_full_scale", Range::aboveTo(0, 1e9));
    plan.loopbackVoltsPerFullScale = stated(object, "loopback_volts_per_full_scale", Range::aboveTo(0, 1e9));
    plan.checkStandard = stated(object, "check_standard");
    for (const auto& child : object.objects("instruments", 256)) {
        plan.instruments.push_back({stated(child, "role"), stated(child, "model"), stated(child, "serial"),
                                    stated(child, "certificate"), statedDate(child, "calibrated_on", false)});
        child.finish();
    }
    object.finish();
}

void readSurroundings(const JsonObject& root, Plan& plan) {
    if (const auto chamber = root.object("chamber")) {
        plan.chamberName = stated(*chamber, "name");
        plan.place = stated(*chamber, "place");
        plan.chamberLowestHz = stated(*chamber, "lowest_usable_hz", Range::aboveTo(0, 100000));
        chamber->finish();
    }
    if (const auto air = root.object("air")) {
        plan.air.temperatureC = stated(*air, "temperature_c", Range::between(-50, 60));
        plan.air.relativeHumidityPercent = stated(*air, "relative_humidity_percent", Range::between(0, 100));
        plan.air.pressureKPa = stated(*air, "pressure_kpa", Range::between(10, 200));
        air->finish();
    }
    if (const auto people = root.object("people")) {
        plan.engineer = stated(*people, "engineer");
        people->finish();
    }
}

JsonObjectText sectionAsJson(const SectionPlan& section) {
    JsonObjectText object;
    object.set("name", section.name);
    if (!section.outputChannels.empty()) object.set("output_channels", section.outputChannels);
    object.setStated("gain_db", section.gainDb);
    object.setStated("delay_s", section.delayS);
    object.set("polarity", polarityNames[section.reversed ? 1 : 0]);
    if (!std::isnan(section.lowHz) && !std::isnan(section.highHz))
        object.set("band_hz", std::vector<double>{section.lowHz, section.highHz});
    object.setStated("voltage_limit_v", section.voltageLimit);
    return object;
}

JsonObjectText driveAsJson(const DrivePlan& drive) {
    JsonObjectText object;
    object.set("name", drive.name);
    object.set("sections", drive.sections);
    object.set("axis_deg", drive.axisDeg);
    object.setStated("reference_section", drive.referenceSection);
    return object;
}

JsonObjectText unitAsJson(const Plan& plan) {
    JsonObjectText unit;
    unit.setStated("model", plan.unitModel);
    unit.setStated("serial", plan.unitSerial);
    unit.setStated("state", plan.unitState);
    unit.setStated("size_m", plan.unitSizeM);
    unit.setStated("latency_s", plan.latencyS);
    if (!std::isnan(plan.referencePointM[0]))
        unit.set("reference_point_from_axis_m",
                 std::vector<double>(plan.referencePointM.begin(), plan.referencePointM.end()));
    if (plan.driveQuantity != DriveQuantity::unknown)
        unit.set("drive_quantity", quantityNames[static_cast<std::size_t>(plan.driveQuantity) - 1]);
    std::vector<JsonObjectText> sections;
    for (const auto& section : plan.sections) sections.push_back(sectionAsJson(section));
    if (!sections.empty()) unit.set("sections", sections);
    return unit;
}

JsonObjectText instrumentAsJson(const Instrument& instrument) {
    JsonObjectText object;
    object.setStated("role", instrument.role);
    object.setStated("model", instrument.model);
    object.setStated("serial", instrument.serial);
    object.setStated("certificate", instrument.certificate);
    object.setStated("calibrated_on", instrument.calibratedOn);
    return object;
}

JsonObjectText calibrationAsJson(const Plan& plan) {
    JsonObjectText calibration;
    calibration.setStated("id", plan.calibrationId);
    calibration.setStated("pascal_per_full_scale", plan.pascalPerFullScale);
    calibration.setStated("volts_per_full_scale", plan.voltsPerFullScale);
    calibration.setStated("loopback_volts_per_full_scale", plan.loopbackVoltsPerFullScale);
    calibration.setStated("check_standard", plan.checkStandard);
    std::vector<JsonObjectText> instruments;
    for (const auto& instrument : plan.instruments) instruments.push_back(instrumentAsJson(instrument));
    if (!instruments.empty()) calibration.set("instruments", instruments);
    return calibration;
}

}  // namespace

Plan::Plan()
    : unitSizeM(nan),
      latencyS(nan),
      referencePointM{nan, nan, nan},
      driveQuantity(DriveQuantity::unknown),
      distanceM(nan),
      pascalPerFullScale(nan),
      voltsPerFullScale(nan),
      loopbackVoltsPerFullScale(nan),
      chamberLowestHz(nan),
      air(Air::notStated()) {
}

Plan parsePlan(const std::string& text, const std::string& source) {
    const JsonObject root = JsonObject::parse(text, source);
    Plan plan;
    root.text("$schema");
    plan.purpose = stated(root, "purpose");
    plan.measuredOn = statedDate(root, "measured_on", true);
    plan.distanceM = stated(root, "distance_m", Range::aboveTo(0, 1000));
    if (const auto unit = root.object("unit")) readUnit(*unit, plan);
    readDrives(root, plan);
    if (const auto calibration = root.object("calibration")) readCalibration(*calibration, plan);
    readSurroundings(root, plan);
    root.finish();
    plan.text = root.asText();
    return plan;
}

std::string planAsJson(const Plan& plan) {
    JsonObjectText root, chamber, air, people;
    root.setStated("purpose", plan.purpose);
    root.setStated("measured_on", plan.measuredOn);
    root.setStated("distance_m", plan.distanceM);
    root.setStated("unit", unitAsJson(plan));
    std::vector<JsonObjectText> drives;
    for (const auto& drive : plan.drives) drives.push_back(driveAsJson(drive));
    if (!drives.empty()) root.set("drives", drives);
    root.setStated("calibration", calibrationAsJson(plan));
    chamber.setStated("name", plan.chamberName);
    chamber.setStated("place", plan.place);
    chamber.setStated("lowest_usable_hz", plan.chamberLowestHz);
    root.setStated("chamber", chamber);
    air.setStated("temperature_c", plan.air.temperatureC);
    air.setStated("relative_humidity_percent", plan.air.relativeHumidityPercent);
    air.setStated("pressure_kpa", plan.air.pressureKPa);
    root.setStated("air", air);
    people.setStated("engineer", plan.engineer);
    root.setStated("people", people);
    return root.text();
}

}  // namespace volvelle
