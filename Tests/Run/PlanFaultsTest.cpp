#include "Run/PlanFaults.h"
#include "Text/TextFile.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <utility>

namespace volvelle {
namespace {

using nlohmann::json;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

json complete() {
    return json::parse(R"({
      "distance_m": 2,
      "unit": { "drive_quantity": "terminal-volts", "sections": [
        { "name": "front", "output_channels": [1], "band_hz": [40, 20000], "voltage_limit_v": 10 },
        { "name": "rear", "output_channels": [2], "band_hz": [60, 20000], "voltage_limit_v": 5 } ] },
      "drives": [ { "sections": ["front"] }, { "sections": ["rear"], "axis_deg": 180 }, { "sections": ["front", "rear"] } ],
      "angles": { "set": "two-orbits-10" },
      "audio": { "loopback_input": 2, "loopback_output": 3 },
      "calibration": { "pascal_per_full_scale": 20, "volts_per_full_scale": 10 } })");
}

std::vector<std::string> faults(const json& document) {
    std::vector<std::string> texts;
    for (const Error& error : faultsOf(parsePlan(document.dump(), "p.json"), "p.json")) {
        EXPECT_EQ(error.kind(), ErrorKind::input);
        EXPECT_EQ(error.where(), "p.json");
        EXPECT_FALSE(error.advice().empty());
        texts.push_back(error.problem());
    }
    return texts;
}

json changed(const std::string& pointer, const json& value) {
    json document = complete();
    if (value.is_null())
        document.at(json::json_pointer(pointer).parent_pointer()).erase(json::json_pointer(pointer).back());
    else
        document[json::json_pointer(pointer)] = value;
    return document;
}

TEST(PlanFaults, ACompletePlanHasNone) {
    EXPECT_THAT(faults(complete()), ElementsAre());
    const std::string path = VOLVELLE_DATASETS "/plans/front-rear.json";
    EXPECT_TRUE(faultsOf(parsePlan(readTextFile(path), path), path).empty());
}

TEST(PlanFaults, NameWhatIsMissing) {
    const std::pair<const char*, const char*> all[] = {
        {"/distance_m", "/distance_m is missing"},
        {"/calibration/pascal_per_full_scale", "/calibration/pascal_per_full_scale is missing"},
        {"/calibration/volts_per_full_scale", "/calibration/volts_per_full_scale is missing"},
        {"/drives", "/drives is missing"},
        {"/angles", "/angles/set is missing"},
        {"/unit/sections/1/output_channels", "/unit/sections/1/output_channels is missing"},
        {"/unit/sections/1/band_hz", "/unit/sections/1/band_hz is missing"},
        {"/unit/sections/0/voltage_limit_v", "/unit/sections/0/voltage_limit_v is missing"}};
    for (const auto& [pointer, problem] : all)
        EXPECT_THAT(faults(changed(pointer, nullptr)), ElementsAre(problem)) << pointer;
}

TEST(PlanFaults, AllAreFoundAtOnce) {
    EXPECT_THAT(faults(json::object()),
                ElementsAre("/distance_m is missing", "/calibration/pascal_per_full_scale is missing",
                            "/calibration/volts_per_full_scale is missing", "/unit/sections is missing",
                            "/drives is missing", "/angles/set is missing"));
}

TEST(PlanFaults, WhatADriveStatesReplacesTheSectionsLimits) {
    json document = changed("/unit/sections/1/band_hz", nullptr);
    document["unit"]["sections"][1].erase("voltage_limit_v");
    for (const int drive : {1, 2})
        document["drives"][drive]["sweep"] = {{"start_hz", 100}, {"end_hz", 10000}, {"peak_v", 2}};
    EXPECT_THAT(faults(document), ElementsAre());
    document["drives"][2]["sweep"].erase("peak_v");
    EXPECT_THAT(faults(document), ElementsAre("/unit/sections/1/voltage_limit_v is missing"));
    document["drives"][2]["sweep"] = {{"start_hz", 20}, {"end_hz", 10000}, {"peak_v", 2}};
    EXPECT_THAT(
        faults(document),
        ElementsAre(HasSubstr("/drives/2/sweep/start_hz is 20 Hz, outside the band of section front")));
}

TEST(PlanFaults, ASectionThatNeverPlaysNeedsNothing) {
    json document = complete();
    document["unit"]["sections"].push_back({{"name", "unused"}});
    EXPECT_THAT(faults(document), ElementsAre());
}

TEST(PlanFaults, AChannelFeedsOneThing) {
    EXPECT_THAT(faults(changed("/unit/sections/1/output_channels", {4, 1})),
                ElementsAre("/unit/sections/1/output_channels names channel 1, which feeds front too"));
    EXPECT_THAT(
        faults(changed("/audio/loopback_output", 2)),
        ElementsAre("/unit/sections/1/output_channels names channel 2, which feeds the loopback too"));
}

TEST(PlanFaults, TheTableReachesEveryPosition) {
    EXPECT_THAT(faults(changed("/angles/set", "sphere-10")),
                ElementsAre(HasSubstr("/angles/set: sphere-10 needs a table with a tilt axis")));
    EXPECT_THAT(faults(changed("/angles/set", "two-orbits-11")), ElementsAre(HasSubstr("is no angle set")));
    EXPECT_THAT(faults(changed("/table", {{"limits_deg", {-170, 175}}})),
                ElementsAre("/table keeps to -170 to 175 degrees, but horizontal:180 needs 180"));
    EXPECT_THAT(faults(changed("/unit/reference_point_from_axis_m", {2.5, 0, 0})),
                ElementsAre(HasSubstr("the reference point lies 2.5 m off the rotation axis")));
}

TEST(PlanFaults, OpenMattersAreNamedAndStatedOnesAreNot) {
    const auto open = openMattersOf(parsePlan(complete().dump(), "p.json"));
    EXPECT_THAT(open, ::testing::Contains(HasSubstr("conduct.level_limit_db")));
    EXPECT_THAT(open, ::testing::Contains(HasSubstr("air:")));
    EXPECT_THAT(open, ::testing::Not(::testing::Contains(HasSubstr("loopback"))));
    for (const auto& [limitDb, isOpen] : {std::pair{119.0, false}, {121.0, true}}) {  // 20 Pa are 120 dB
        Plan plan = parsePlan(complete().dump(), "p.json");
        plan.conduct.levelLimitDb = limitDb;
        const auto matters = openMattersOf(plan);
        EXPECT_EQ(std::any_of(matters.begin(), matters.end(),
                              [](const std::string& m) { return m.find("a peak of 120.0 dB") != std::string::npos; }),
                  isOpen)
            << limitDb;
    }
    const std::string path = VOLVELLE_DATASETS "/plans/front-rear.json";
    EXPECT_THAT(openMattersOf(parsePlan(readTextFile(path), path)), ElementsAre());
}

// Bands of 1000 Hz up and 4000 Hz down share two octaves of the seven to ten that each has.
TEST(OpenMatters, NameADriveThatIsSweptOverLessThanItsSections) {
    const auto narrow = [](double lowHz, double highHz) {
        json document = complete();
        document["unit"]["sections"][0]["band_hz"] = {40, highHz};
        document["unit"]["sections"][1]["band_hz"] = {lowHz, 20000};
        std::vector<std::string> named;
        for (const auto& matter : openMattersOf(parsePlan(document.dump(), "p.json")))
            if (matter.find("swept from") != std::string::npos) named.push_back(matter);
        return named;
    };
    EXPECT_THAT(narrow(1000, 4000), ElementsAre(HasSubstr(
                                        "drive front+rear: it is swept from 1000 to 4000 Hz only, where its sections' "
                                        "bands go from 40 to 20000 Hz")));
    EXPECT_THAT(narrow(60, 20000), ElementsAre());       // 0.6 octave
    EXPECT_EQ(narrow(60, 10000).size(), 1U);             // 1.6 octaves at both ends together
    EXPECT_THAT(narrow(5000, 4000), ElementsAre());      // a fault, told as such
}

}  // namespace
}  // namespace volvelle
