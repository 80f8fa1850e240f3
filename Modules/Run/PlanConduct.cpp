#include "Run/PlanFields.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace volvelle {
namespace {

const std::vector<std::string> orderNames{"shortest-path", "as-listed"};
const std::vector<std::string> senseNames{"counter-clockwise", "clockwise"};
const std::vector<std::string> sideNames{"left-side", "right-side"};

constexpr int mostChannels = 1024, mostRepeats = 99, mostAttempts = 99, mostPositions = 100000;
constexpr double longestS = 60, longestWarmUpS = 86400;

AnglePlan readAngles(const JsonObject& object) {
    AnglePlan angles;
    angles.set = stated(object, "set");
    angles.file = stated(object, "file");
    if (!angles.set.empty() && !angles.file.empty())
        throw object.error("file", "stands beside a set", "Name either a set or a file of positions");
    angles.shortestPath = object.choice("order", orderNames).value_or(0) == 0;
    object.finish();
    return angles;
}

/// The nearest name by its letters would be the opposite sense.
void refuseOtherNames(const JsonObject& object) {
    if (object.text("counts").value_or("").starts_with("anti"))
        throw object.error("counts", "is another name of counter-clockwise", "Write counter-clockwise");
}

TablePlan readTable(const JsonObject& object) {
    TablePlan table;
    refuseOtherNames(object);
    table.countsClockwise = object.choice("counts", senseNames).value_or(0) == 1;
    table.liesOnLeftSide = object.choice("lies_on", sideNames).value_or(0) == 0;
    table.hasTilt = object.boolean("has_tilt").value_or(false);
    if (const auto limits = object.numbers("limits_deg", 2, 2, Range::between(-720, 720))) {
        if (!((*limits)[0] <= 0 && (*limits)[1] >= 0 && (*limits)[0] < (*limits)[1]))
            throw object.error("limits_deg", "do not hold zero between them",
                               "Write the lower limit first; the table has to reach 0, where a run begins");
        table.lowestDeg = (*limits)[0];
        table.highestDeg = (*limits)[1];
    }
    table.settleS = stated(object, "settle_s", Range::between(0, longestS));
    object.finish();
    return table;
}

AudioPlan readAudio(const JsonObject& object) {
    AudioPlan audio;
    audio.sampleRateHz = stated(object, "sample_rate_hz", Range::between(8000, 768000));
    audio.microphoneInput = object.wholeNumber("microphone_input", 1, mostChannels).value_or(1);
    audio.loopbackInput = object.wholeNumber("loopback_input", 1, mostChannels).value_or(0);
    audio.loopbackOutput = object.wholeNumber("loopback_output", 1, mostChannels).value_or(0);
    if (audio.loopbackInput == audio.microphoneInput)
        throw object.error("loopback_input",
                           fmt::format("is {}, the microphone's input", audio.loopbackInput),
                           "Give each a channel of its own");
    audio.silenceBeforeS = stated(object, "silence_before_s", Range::between(0, longestS));
    audio.decayS = stated(object, "decay_s", Range::between(0, longestS));
    object.finish();
    return audio;
}

ConductPlan readRules(const JsonObject& object) {
    ConductPlan conduct;
    conduct.repeats = object.wholeNumber("repeats", 1, mostRepeats).value_or(1);
    conduct.warmUpS = object.number("warm_up_s", Range::between(0, longestWarmUpS)).value_or(0);
    conduct.axisCheckEvery = object.wholeNumber("axis_check_every", 0, mostPositions).value_or(0);
    conduct.attempts = object.wholeNumber("attempts", 1, mostAttempts).value_or(ConductPlan{}.attempts);
    conduct.levelLimitDb = stated(object, "level_limit_db", Range::between(0, 200));
    conduct.noiseLimitDb = stated(object, "noise_limit_db", Range::between(-100, 200));
    object.finish();
    return conduct;
}

JsonObjectText anglesAsJson(const AnglePlan& angles) {
    JsonObjectText object;
    object.setStated("set", angles.set);
    object.setStated("file", angles.file);
    if (!angles.shortestPath) object.set("order", orderNames[1]);
    return object;
}

JsonObjectText tableAsJson(const TablePlan& table) {
    JsonObjectText object;
    if (table.countsClockwise) object.set("counts", senseNames[1]);
    if (!table.liesOnLeftSide) object.set("lies_on", sideNames[1]);
    if (table.hasTilt) object.set("has_tilt", true);
    if (!std::isnan(table.lowestDeg) && !std::isnan(table.highestDeg))
        object.set("limits_deg", std::vector<double>{table.lowestDeg, table.highestDeg});
    object.setStated("settle_s", table.settleS);
    return object;
}

JsonObjectText audioAsJson(const AudioPlan& audio) {
    JsonObjectText object;
    object.setStated("sample_rate_hz", audio.sampleRateHz);
    if (audio.microphoneInput != 1) object.set("microphone_input", audio.microphoneInput);
    if (audio.loopbackInput > 0) object.set("loopback_input", audio.loopbackInput);
    if (audio.loopbackOutput > 0) object.set("loopback_output", audio.loopbackOutput);
    object.setStated("silence_before_s", audio.silenceBeforeS);
    object.setStated("decay_s", audio.decayS);
    return object;
}

JsonObjectText rulesAsJson(const ConductPlan& conduct) {
    JsonObjectText object;
    if (conduct.repeats != 1) object.set("repeats", conduct.repeats);
    if (conduct.warmUpS > 0) object.set("warm_up_s", conduct.warmUpS);
    if (conduct.axisCheckEvery != 0) object.set("axis_check_every", conduct.axisCheckEvery);
    if (conduct.attempts != ConductPlan{}.attempts) object.set("attempts", conduct.attempts);
    object.setStated("level_limit_db", conduct.levelLimitDb);
    object.setStated("noise_limit_db", conduct.noiseLimitDb);
    return object;
}

}  // namespace

void readConduct(const JsonObject& root, Plan& plan) {
    if (const auto angles = root.object("angles")) plan.angles = readAngles(*angles);
    if (const auto table = root.object("table")) plan.table = readTable(*table);
    if (const auto audio = root.object("audio")) plan.audio = readAudio(*audio);
    if (const auto conduct = root.object("conduct")) plan.conduct = readRules(*conduct);
    if (const auto simulation = root.object("simulation")) plan.simulationJson = simulation->asText();
}

void writeConduct(const Plan& plan, JsonObjectText& root) {
    root.setStated("angles", anglesAsJson(plan.angles));
    root.setStated("table", tableAsJson(plan.table));
    root.setStated("audio", audioAsJson(plan.audio));
    root.setStated("conduct", rulesAsJson(plan.conduct));
    if (!plan.simulationJson.empty()) root.setObject("simulation", plan.simulationJson);
}

JsonObjectText sweepAsJson(const SweepPlan& sweep) {
    JsonObjectText object;
    object.setStated("start_hz", sweep.startHz);
    object.setStated("end_hz", sweep.endHz);
    object.setStated("duration_s", sweep.durationS);
    object.setStated("peak_v", sweep.peakV);
    return object;
}

}  // namespace volvelle
