#include "Run/PlanFields.h"

#include <cmath>

namespace volvelle {
namespace {

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
    object.setStated("sweep", sweepAsJson(drive.sweep));
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
        unit.set("drive_quantity", driveQuantityNames[static_cast<std::size_t>(plan.driveQuantity) - 1]);
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
    writeConduct(plan, root);
    return root.text();
}

}  // namespace volvelle
