#include "Run/Plan.h"

#include "Run/PlanFields.h"
#include "Text/Date.h"
#include "Text/InQuotes.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

namespace volvelle {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

std::string statedDate(const JsonObject& object, std::string_view key, bool withTime) {
    const std::string date = stated(object, key);
    if (date.empty() || (withTime ? isIsoDateOrTime(date) : isIsoDate(date))) return date;
    throw object.error(key, fmt::format("is {}, not a date", inQuotes(date)),
                       withTime ? "Write it as 2026-01-31 or 2026-01-31T10:30:00Z (ISO 8601)"
                                : "Write it as 2026-01-31 (ISO 8601)");
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

}  // namespace

const std::vector<std::string> driveQuantityNames{"terminal-volts", "input-volts", "digital-full-scale"};
const std::vector<std::string> polarityNames{"normal", "reversed"};

double stated(const JsonObject& object, std::string_view key, const Range& range) {
    return object.number(key, range).value_or(nan);
}

std::string stated(const JsonObject& object, std::string_view key) {
    return object.text(key).value_or("");
}

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
    readConduct(root, plan);
    root.finish();
    plan.text = root.asText();
    return plan;
}

}  // namespace volvelle
