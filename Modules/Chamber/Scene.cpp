#include "Chamber/Scene.h"

#include "Chamber/SceneFaults.h"
#include "Text/InQuotes.h"
#include "Text/JsonDocument.h"
#include "Text/JsonReader.h"
#include "Text/Nearest.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace volvelle {

namespace {

const std::vector<std::string> colourNames{"white", "pink"};
const std::vector<std::string> crossoverNames{"linkwitz-riley", "butterworth"};
const std::vector<std::string> placeNames{"voltage", "acceleration"};
const std::vector<std::string> polarityNames{"normal", "reversed"};

/// A number in its field, or the field as it was.
void read(const JsonObject& object, std::string_view key, const Range& range, double& field,
          double scale = 1) {
    if (const auto value = object.number(key, range)) field = *value * scale;
}

double required(const JsonObject& object, std::string_view key, const Range& range) {
    const auto value = object.number(key, range);
    if (!value) throw object.error(key, "is missing", fmt::format("Write a number {}", range.text()));
    return *value;
}

CrossoverFilter readCrossover(const JsonObject& object) {
    CrossoverFilter filter;
    const auto kind = object.choice("type", crossoverNames);
    filter.kind = static_cast<CrossoverFilter::Kind>(kind.value_or(0));
    filter.order = object.wholeNumber("order", 1, 4).value_or(4);
    if (filter.kind == CrossoverFilter::Kind::linkwitzRiley && filter.order % 2 != 0)
        throw object.error("order", fmt::format("is {}, which linkwitz-riley does not have", filter.order),
                           "Use 2 or 4, or the type butterworth");
    filter.hz = required(object, "hz", Range::between(1, 200000));
    object.finish();
    return filter;
}

void readFilter(const JsonObject& object, DriverFilter& filter) {
    read(object, "acceleration_m_per_s2_per_v", Range::aboveTo(0, 1e6), filter.accelerationPerVolt);
    read(object, "resonance_hz", Range::between(1, 200000), filter.resonanceHz);
    read(object, "quality", Range::between(0.1, 20), filter.quality);
    read(object, "cutoff_hz", Range::between(1, 200000), filter.cutoffHz);
    if (const auto high = object.object("high_pass")) filter.highPass = readCrossover(*high);
    if (const auto low = object.object("low_pass")) filter.lowPass = readCrossover(*low);
    read(object, "gain_db", Range::between(-120, 60), filter.gainDb);
    read(object, "delay_ms", Range::between(0, 1000), filter.delayS, 1e-3);
    filter.reversed = object.choice("polarity", polarityNames).value_or(0) == 1;
}

DriverNonlinearity readNonlinearity(const JsonObject& object) {
    DriverNonlinearity how;
    read(object, "a2_per_v", Range::between(-10, 10), how.a2PerV);
    read(object, "a3_per_v2", Range::between(-10, 10), how.a3PerV2);
    how.place = static_cast<DriverNonlinearity::Place>(object.choice("place", placeNames).value_or(0));
    object.finish();
    return how;
}

SceneDriver readDriver(const JsonObject& object) {
    SceneDriver driver;
    const auto section = object.text("section", 64);
    if (!section) throw object.error("section", "is missing", "Name the section that moves it");
    driver.section = *section;
    driver.outputChannel = object.wholeNumber("output_channel", 1, 1024).value_or(0);
    double azimuthDeg = 0, elevationDeg = 0;
    read(object, "azimuth_deg", Range::between(-360, 360), azimuthDeg);
    read(object, "elevation_deg", Range::between(-90, 90), elevationDeg);
    driver.cap.axis = direction(azimuthDeg, elevationDeg);
    read(object, "half_angle_deg", Range::between(0.5, 180), driver.cap.halfAngleDeg);
    readFilter(object, driver.filter);
    if (const auto how = object.object("nonlinearity")) driver.nonlinearity = readNonlinearity(*how);
    object.finish();
    return driver;
}

SceneNoise readNoise(const JsonObject& object) {
    SceneNoise noise;
    noise.levelDb = required(object, "level_db", Range::between(-100, 140));
    noise.colour = static_cast<NoiseColour>(object.choice("colour", colourNames).value_or(0));
    object.finish();
    return noise;
}

SceneConverters readConverters(const JsonObject& object) {
    SceneConverters converters;
    read(object, "latency_ms", Range::between(0, 1000), converters.latencyS, 1e-3);
    read(object, "start_jitter_ms", Range::between(0, 100), converters.startJitterS, 1e-3);
    converters.bits = object.wholeNumber("bits", 0, 32).value_or(24);
    read(object, "noise_db", Range::between(-240, 0), converters.noiseDb);
    read(object, "recorder_offset_ppm", Range::between(-1000, 1000), converters.recorderOffsetPpm);
    read(object, "loopback_error_db", Range::between(-60, 60), converters.loopbackErrorDb);
    object.finish();
    return converters;
}

SceneReflection readReflection(const JsonObject& object) {
    SceneReflection reflection{};
    reflection.delayS = required(object, "delay_ms", Range::between(0, 1000)) * 1e-3;
    reflection.gainDb = required(object, "gain_db", Range::between(-120, 0));
    reflection.belowHz = required(object, "below_hz", Range::between(1, 200000));
    object.finish();
    return reflection;
}

SceneTable readTable(const JsonObject& object) {
    SceneTable table;
    read(object, "speed_deg_per_s", Range::between(0.01, 3600), table.speedDegPerS);
    read(object, "acceleration_deg_per_s2", Range::aboveTo(0, 1e6), table.accelerationDegPerS2);
    read(object, "ring_deg", Range::between(0, 10), table.ringDeg);
    read(object, "ring_decay_s", Range::between(0.001, 60), table.ringDecayS);
    read(object, "position_error_deg", Range::between(0, 10), table.positionErrorDeg);
    read(object, "resolution_deg", Range::between(0, 10), table.resolutionDeg);
    table.readsBack = object.boolean("reads_back").value_or(true);
    read(object, "lowest_deg", Range::between(-3600, 0), table.lowestDeg);
    read(object, "highest_deg", Range::between(0, 3600), table.highestDeg);
    table.hasTilt = object.boolean("tilts").value_or(false);
    read(object, "lowest_tilt_deg", Range::between(-90, 0), table.lowestTiltDeg);
    read(object, "highest_tilt_deg", Range::between(0, 90), table.highestTiltDeg);
    read(object, "tolerance_deg", Range::between(0.001, 10), table.toleranceDeg);
    object.finish();
    return table;
}

/// The object itself, read so that messages say where in the plan it stands.
JsonObject objectAt(const std::string& json, const std::string& source, std::string_view pointer) {
    std::string text = json;
    std::vector<std::string> keys;
    while (!pointer.empty()) {
        const std::size_t slash = pointer.rfind('/');
        keys.emplace_back(pointer.substr(slash + 1));
        pointer = pointer.substr(0, slash);
        text = fmt::format("{{\"{}\": {}}}", keys.back(), text);
    }
    JsonObject object = JsonObject::parse(text, source);
    for (; !keys.empty(); keys.pop_back()) object = *object.object(keys.back());
    return object;
}

}  // namespace

Scene parseScene(const std::string& json, const std::string& source, const std::string& pointer) {
    const JsonObject root = objectAt(json, source, pointer);
    Scene scene;
    read(root, "sphere_radius_m", Range::between(0.005, 5), scene.sphereRadiusM);
    for (const JsonObject& driver : root.objects("drivers", 64)) scene.drivers.push_back(readDriver(driver));
    if (scene.drivers.empty())
        throw root.error("drivers", "is missing or empty", "Describe at least one driver of the unit");
    if (const auto noise = root.object("microphone_noise")) scene.microphoneNoise = readNoise(*noise);
    if (const auto noise = root.object("background_noise")) scene.background = readNoise(*noise);
    if (const auto converters = root.object("converters")) scene.converters = readConverters(*converters);
    for (const JsonObject& reflection : root.objects("reflections", 16))
        scene.reflections.push_back(readReflection(reflection));
    read(root, "temperature_drift_c_per_hour", Range::between(-100, 100), scene.temperatureDriftCPerHour);
    scene.airAbsorbs = root.boolean("air_absorbs").value_or(false);
    if (const auto table = root.object("table")) scene.table = readTable(*table);
    read(root, "turning_the_unit_s", Range::between(0, 3600), scene.attendantS);
    read(root, "remounting_error_deg", Range::between(0, 10), scene.remountingErrorDeg);
    for (const JsonObject& fault : root.objects("faults", 1024)) scene.faults.push_back(readFault(fault));
    scene.seed = root.wholeNumber("seed", 0, highestSeed).value_or(scene.seed);
    root.finish();
    return scene;
}

std::string sceneWithSeed(const std::string& json, int seed) {
    JsonValue scene = parsedDocument(json, "simulation");
    JsonValue number;
    number.kind = JsonValue::Kind::number;
    number.number = seed;
    std::erase_if(scene.members, [](const auto& member) { return member.first == "seed"; });
    const auto after = std::find_if(scene.members.begin(), scene.members.end(),
                                    [](const auto& member) { return member.first > "seed"; });
    scene.members.emplace(after, "seed", number);
    return scene.asText();
}

namespace {

[[noreturn]] void refuse(const std::string& problem, const std::string& source, const std::string& advice) {
    throw Error(ErrorKind::input, problem, source, advice);
}

void checkSection(const std::string& name, const Plan& plan, const std::string& source) {
    std::vector<std::string> names;
    for (const SectionPlan& section : plan.sections) {
        names.push_back(section.name);
        if (section.name != name) continue;
        if (section.outputChannels.empty())
            refuse(fmt::format("the simulated section {} has no output channel", inQuotes(name)), source,
                   "State output_channels of the section");
        return;
    }
    refuse(fmt::format("the simulation names {}, which is no section of the unit", inQuotes(name)), source,
           suggestion(name, names));
}

}  // namespace

void checkScene(const Scene& scene, const Plan& plan, const std::string& source) {
    for (const SceneDriver& driver : scene.drivers) checkSection(driver.section, plan, source);
    for (const SceneFault& fault : scene.faults)
        for (const std::string& name : {fault.section, fault.otherSection})
            if (!name.empty()) checkSection(name, plan, source);
    if (std::isnan(plan.pascalPerFullScale))
        refuse("a simulated chamber needs the microphone's calibration", source,
               "State calibration.pascal_per_full_scale");
    if (std::isnan(plan.distanceM))
        refuse("a simulated chamber needs the microphone's distance", source, "State distance_m");
    double offset = 0;
    for (const double part : plan.referencePointM) offset += std::isnan(part) ? 0 : part * part;
    if (plan.distanceM <= scene.sphereRadiusM * 1.01 || std::sqrt(offset) >= plan.distanceM)
        refuse("the microphone stands within the simulated unit", source,
               "Check distance_m, sphere_radius_m and the reference point");
    if (std::isnan(plan.audio.sampleRateHz)) return;
    if (plan.audio.sampleRateHz < 8000 || plan.audio.sampleRateHz > 400000)
        refuse("a simulated chamber runs at 8 to 400 kHz", source, "Check audio.sample_rate_hz");
}

}  // namespace volvelle
