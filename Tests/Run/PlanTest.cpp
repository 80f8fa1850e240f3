#include "Run/Plan.h"
#include "Run/RandomPlan.h"
#include "Support/CommaLocale.h"
#include "Support/SchemaCheck.h"
#include "Text/Error.h"
#include "Text/TextFile.h"

#include <gtest/gtest.h>

#include <cmath>
#include <filesystem>
#include <random>

namespace volvelle {
namespace {

const std::string folder = VOLVELLE_DATASETS "/plans/";

Plan plan(const std::string& text) {
    return parsePlan(text, "p.json");
}

std::string refusal(const std::string& text) {
    try {
        plan(text);
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::input);
        return error.what();
    }
    return "no error";
}

TEST(Plan, WhatIsWrittenIsReadBackEqual) {
    const auto schema = loadJson(folder + "plan.schema.json");
    const std::uint64_t seed = std::random_device{}();
    SCOPED_TRACE("seed " + std::to_string(seed));
    PlanSource source(seed);
    for (int i = 0; i < 500; ++i) {
        const Plan written = source.next();
        const std::string text = planAsJson(written);
        const Plan read = plan(text);
        expectEqual(read, written);
        EXPECT_EQ(planAsJson(read), text);
        EXPECT_EQ(violationOf(schema, nlohmann::json::parse(text)), "") << text;
        if (HasFailure()) FAIL() << text;
    }
}

TEST(Plan, NothingIsRequired) {
    expectEqual(plan("{}"), Plan());
    EXPECT_EQ(planAsJson(Plan()), "{}");
}

TEST(Plan, ExamplesFollowTheSchemaAndAreRead) {
    const auto schema = loadJson(folder + "plan.schema.json");
    int examples = 0;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        const std::string path = entry.path().string();
        if (path.ends_with(".schema.json")) continue;
        ++examples;
        EXPECT_EQ(violationOf(schema, loadJson(path)), "") << path;
        EXPECT_NO_THROW(parsePlan(readTextFile(path), path));
        EXPECT_NE(readTextFile(path).find("nvented"), std::string::npos)
            << path << " is not marked as invented";
    }
    EXPECT_GE(examples, 2);
}

TEST(Plan, SchemaAndReaderKnowTheSameKeys) {
    EXPECT_EQ(
        expectSameKeys(loadJson(folder + "plan.schema.json"), loadJson(folder + "front-rear.json"), plan),
        14);
}

TEST(Plan, TheGuideNamesEveryKeyAndItsRange) {
    EXPECT_GT(expectDocumented(loadJson(folder + "plan.schema.json"),
                               readTextFile(VOLVELLE_SOURCE "/Docs/plan.md")),
              30);
}

TEST(Plan, SchemaAndReaderAgreeOnEveryValue) {
    const auto isRule = [](const Error& error) {
        for (const char* rule : {"ends where it begins", "names a channel twice", "is no section",
                                 "but the drive plays", "like that of another section",
                                 "makes a second drive", "names 'front' twice", "lies at the sweep's start",
                                 "stands beside a set", "do not hold zero", "the microphone's input"})
            if (error.problem().find(rule) != std::string::npos) return true;
        return false;
    };
    EXPECT_GT(expectSameValues(loadJson(folder + "plan.schema.json"), loadJson(folder + "front-rear.json"),
                               plan, isRule),
              600);
}

TEST(Plan, ExampleIsReadFieldByField) {
    const Plan p = parsePlan(readTextFile(folder + "front-rear.json"), "x");
    EXPECT_EQ(p.unitSerial, "EXAMPLE-0007");
    EXPECT_EQ(p.unitSizeM, 0.42);
    EXPECT_EQ(p.referencePointM, (std::array<double, 3>{0.15, 0, 0}));
    EXPECT_EQ(p.driveQuantity, DriveQuantity::terminalVolts);
    ASSERT_EQ(p.sections.size(), 2U);
    EXPECT_EQ(p.sections[1].name, "rear");
    EXPECT_EQ(p.sections[1].outputChannels, std::vector<int>{2});
    EXPECT_EQ(p.sections[1].gainDb, -1.5);
    EXPECT_EQ(p.sections[1].delayS, 0.0003);
    EXPECT_EQ(p.sections[1].lowHz, 60);
    EXPECT_EQ(p.sections[1].highHz, 24000);
    EXPECT_EQ(p.sections[1].voltageLimit, 20);
    ASSERT_EQ(p.drives.size(), 3U);
    EXPECT_EQ(p.drives[1].axisDeg, 180);
    EXPECT_EQ(p.drives[1].referenceSection, "rear");
    EXPECT_EQ(p.drives[2].name, "front+rear");
    EXPECT_EQ(p.distanceM, 2);
    EXPECT_EQ(p.pascalPerFullScale, 39.8);
    EXPECT_EQ(p.instruments.at(1).role, "calibrator");
    EXPECT_EQ(p.chamberLowestHz, 70);
    EXPECT_EQ(p.air.pressureKPa, 100.9);
    EXPECT_EQ(p.measuredOn, "2026-03-14T09:30:00+01:00");
    EXPECT_EQ(p.drives[0].sweep.startHz, 40);
    EXPECT_EQ(p.drives[0].sweep.endHz, 20000);
    EXPECT_EQ(p.drives[0].sweep.durationS, 3);
    EXPECT_EQ(p.drives[0].sweep.peakV, 8);
    EXPECT_EQ(p.angles.set, "two-orbits-10");
    EXPECT_TRUE(p.angles.shortestPath);
    EXPECT_FALSE(p.table.countsClockwise);
    EXPECT_TRUE(p.table.liesOnLeftSide);
    EXPECT_FALSE(p.table.hasTilt);
    EXPECT_EQ(p.table.lowestDeg, -185);
    EXPECT_EQ(p.table.highestDeg, 185);
    EXPECT_EQ(p.table.settleS, 0.5);
    EXPECT_EQ(p.audio.sampleRateHz, 48000);
    EXPECT_EQ(p.audio.loopbackInput, 2);
    EXPECT_EQ(p.audio.loopbackOutput, 3);
    EXPECT_EQ(p.audio.silenceBeforeS, 0.25);
    EXPECT_EQ(p.audio.decayS, 0.5);
    EXPECT_EQ(p.conduct.warmUpS, 60);
    EXPECT_EQ(p.conduct.axisCheckEvery, 18);
    EXPECT_EQ(p.conduct.levelLimitDb, 110);
    EXPECT_EQ(p.conduct.noiseLimitDb, 45);
    EXPECT_EQ(p.simulationJson, "");
    EXPECT_EQ(p.text.find("//"), std::string::npos);
    EXPECT_EQ(planAsJson(plan(p.text)), planAsJson(p));
    EXPECT_TRUE(parsePlan(readTextFile(folder + "two-way.json"), "x").sections.at(1).reversed);
}

TEST(Plan, DriveNamesFollowTheOrderOfTheSections) {
    const std::string unit =
        R"("unit": {"sections": [{"name": "front"}, {"name": "rear"}, {"name": "top"}]})";
    const auto drive = [&](const std::string& fields) {
        return plan("{" + unit + ", \"drives\": [{" + fields + "}]}").drives.at(0);
    };
    EXPECT_EQ(drive(R"("sections": ["rear", "front"])").name, "front+rear");
    EXPECT_EQ(drive(R"("sections": ["rear", "front"])").sections,
              (std::vector<std::string>{"front", "rear"}));
    EXPECT_EQ(drive(R"("name": "rear+front", "sections": ["front", "rear"])").name, "front+rear");
    EXPECT_EQ(drive(R"("name": "both", "sections": ["front", "rear"])").name, "both");
}

TEST(Plan, BadDrivesAreRefused) {
    const std::string unit = R"("unit": {"sections": [{"name": "front"}, {"name": "rear"}]})";
    const auto drives = [&](const std::string& list) {
        return refusal("{" + unit + ", \"drives\": [" + list + "]}");
    };
    EXPECT_EQ(drives(R"({"sections": ["frnt"]})"),
              "p.json: /drives/0/sections names 'frnt', which is no section of the unit. Did you mean "
              "'front'? Known are front, rear");
    EXPECT_EQ(drives(R"({"sections": ["front", "front"]})"),
              "p.json: /drives/0/sections names 'front' twice. Name each section once");
    EXPECT_EQ(drives(R"({"name": "front"})"),
              "p.json: /drives/0/sections is missing. List the sections that play: front, rear");
    EXPECT_EQ(drives(R"({"name": "rear", "sections": ["front"]})"),
              "p.json: /drives/0/name is 'rear', but the drive plays front. Leave the name out, or choose "
              "one that is no section's");
    EXPECT_EQ(drives(R"({"sections": ["front", "rear"]}, {"sections": ["rear", "front"]})"),
              "p.json: /drives/1/sections makes a second drive 'front+rear'. Keep one of them");
    EXPECT_EQ(drives(R"({"sections": ["front"], "axis_deg": 90})"),
              "p.json: /drives/0/axis_deg is 90. Write 0, or 180 for a section that faces backwards");
    EXPECT_EQ(drives(R"({"sections": ["front"], "reference_section": "rear"})"),
              "p.json: /drives/0/reference_section names 'rear', which is no section of the drive. Known are "
              "front");
}

TEST(Plan, BadUnitsAreRefused) {
    EXPECT_EQ(refusal(R"({"unit": {"sections": [{"name": "a"}, {"name": "a"}]}})"),
              "p.json: /unit/sections/1/name is 'a', like that of another section. Give each section a name "
              "of its own");
    EXPECT_EQ(refusal(R"({"unit": {"sections": [{"name": "a.b"}]}})"),
              "p.json: /unit/sections/0/name is 'a.b', which cannot be a name. Use up to 64 letters, digits, "
              "- and _");
    EXPECT_EQ(
        refusal(R"({"unit": {"sections": [{"name": "a", "band_hz": [200, 100]}]}})"),
        "p.json: /unit/sections/0/band_hz ends where it begins or before. Write the lower frequency first");
    EXPECT_EQ(refusal(R"({"unit": {"sections": [{"name": "a", "sections": 1}]}})").substr(0, 59),
              "p.json: /unit/sections/0 has a key 'sections' that is not k");
    EXPECT_EQ(refusal(R"({"unit": {"size_m": 0}})"),
              "p.json: /unit/size_m is 0, outside its range. Write a number above 0 and of at most 100");
    EXPECT_EQ(refusal(R"({"unit": {"modell": "x"}})").substr(0, 83),
              "p.json: /unit has a key 'modell' that is not known. Did you mean 'model'? Known are");
}

TEST(Plan, BadConductIsRefused) {
    EXPECT_EQ(
        refusal(R"({"unit": {"sections": [{"name": "a"}]},
                          "drives": [{"sections": ["a"], "sweep": {"start_hz": 200, "end_hz": 200}}]})"),
        "p.json: /drives/0/sweep/end_hz lies at the sweep's start or below. Sweep upwards: start_hz below "
        "end_hz");
    EXPECT_EQ(refusal(R"({"angles": {"set": "on-axis", "file": "a.csv"}})"),
              "p.json: /angles/file stands beside a set. Name either a set or a file of positions");
    EXPECT_EQ(
        refusal(R"({"angles": {"order": "shortest-pth"}})"),
        "p.json: /angles/order is 'shortest-pth', which is not known. Did you mean 'shortest-path'? Known "
        "are shortest-path, as-listed");
    for (const char* limits : {"[10, 350]", "[-180, -10]", "[90, -90]", "[0, 0]"})
        EXPECT_EQ(refusal(std::string(R"({"table": {"limits_deg": )") + limits + "}}"),
                  "p.json: /table/limits_deg do not hold zero between them. Write the lower limit first; the "
                  "table has to reach 0, where a run begins");
    EXPECT_EQ(refusal(R"({"audio": {"loopback_input": 1}})"),
              "p.json: /audio/loopback_input is 1, the microphone's input. Give each a channel of its own");
    EXPECT_EQ(refusal(R"({"conduct": {"repeats": 0}})"),
              "p.json: /conduct/repeats is 0, outside its range. Write a number from 1 to 99");
    EXPECT_EQ(refusal(R"({"conduct": {"repeats": 1.5}})"),
              "p.json: /conduct/repeats is 1.5, not a whole number. Write a whole number from 1 to 99");
    EXPECT_EQ(refusal(R"({"simulation": []})").substr(0, 48),
              "p.json: /simulation is a list, not an object. Pu");
    EXPECT_EQ(refusal(R"({"table": {"setle_s": 1}})").substr(0, 78),
              "p.json: /table has a key 'setle_s' that is not known. Did you mean 'settle_s'?");
}

// Its nearest name by letters, clockwise, would be the opposite sense.
TEST(Plan, AnotherNameOfCounterClockwiseIsNotTakenForClockwise) {
    EXPECT_EQ(refusal(R"({"table": {"counts": "anticlockwise"}})"),
              "p.json: /table/counts is another name of counter-clockwise. Write counter-clockwise");
}

TEST(Plan, TheSimulationStaysAsItStandsWithoutComments) {
    EXPECT_EQ(plan("{\"simulation\": {\"b\": [1, 2], // so\n \"a\": {\"c\": true}}}").simulationJson,
              R"({"a": {"c": true}, "b": [1, 2]})");
}

TEST(Plan, DatesAreDaysOfTheCalendar) {
    EXPECT_EQ(refusal(R"({"measured_on": "2026-02-29"})"),
              "p.json: /measured_on is '2026-02-29', not a date. Write it as 2026-01-31 or "
              "2026-01-31T10:30:00Z (ISO 8601)");
    EXPECT_EQ(refusal(R"({"calibration": {"instruments": [{"calibrated_on": "2026-01-31T10:00Z"}]}})"),
              "p.json: /calibration/instruments/0/calibrated_on is '2026-01-31T10:00Z', not a date. Write it "
              "as 2026-01-31 (ISO "
              "8601)");
}

TEST(Plan, ReadsTheSameInGerman) {
    const std::string text = readTextFile(folder + "front-rear.json");
    const std::string expected = planAsJson(plan(text));
    const CommaLocale german;
    ASSERT_TRUE(german.isGerman());
    EXPECT_EQ(planAsJson(plan(text)), expected);
}

}  // namespace
}  // namespace volvelle
