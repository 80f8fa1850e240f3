#include "Chamber/Scene.h"
#include "Support/SchemaCheck.h"
#include "Text/Error.h"
#include "Text/TextFile.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

const std::string folder = VOLVELLE_DATASETS "/scenes/";

Scene scene(const std::string& text) {
    return parseScene(text, "p.json", "/simulation");
}

std::string refusal(const std::string& text) {
    try {
        scene(text);
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::input);
        return error.what();
    }
    return "no error";
}

std::string withFault(const std::string& fault) {
    return R"({"drivers": [{"section": "front"}], "faults": [{)" + fault + "}]}";
}

TEST(Scene, SchemaAndReaderKnowTheSameKeys) {
    EXPECT_EQ(
        expectSameKeys(loadJson(folder + "scene.schema.json"), loadJson(folder + "front-rear.json"), scene),
        11);
}

TEST(Scene, SchemaAndReaderAgreeOnEveryValue) {
    const auto isRule = [](const Error& error) {
        for (const char* rule : {"which linkwitz-riley does not have", "does not say when", "says twice when",
                                 "does not suit this kind", "/faults/0/section is missing"})
            if (error.problem().find(rule) != std::string::npos) return true;
        return false;
    };
    EXPECT_GT(expectSameValues(loadJson(folder + "scene.schema.json"), loadJson(folder + "front-rear.json"),
                               scene, isRule),
              900);
}

TEST(Scene, TheGuideNamesEveryKeyAndItsRange) {
    EXPECT_GT(expectDocumented(loadJson(folder + "scene.schema.json"),
                               readTextFile(VOLVELLE_SOURCE "/Docs/chamber.md")),
              70);
}

TEST(Scene, ExampleIsReadFieldByField) {
    const Scene s = scene(readTextFile(folder + "front-rear.json"));
    EXPECT_EQ(s.seed, 20);
    EXPECT_EQ(s.sphereRadiusM, 0.15);
    ASSERT_EQ(s.drivers.size(), 2U);
    const SceneDriver& front = s.drivers[0];
    EXPECT_EQ(front.section, "front");
    EXPECT_EQ(front.outputChannel, 1);
    EXPECT_EQ(front.cap.halfAngleDeg, 24);
    EXPECT_EQ(front.filter.accelerationPerVolt, 60);
    EXPECT_EQ(front.filter.resonanceHz, 62);
    EXPECT_EQ(front.filter.quality, 0.75);
    EXPECT_EQ(front.filter.cutoffHz, 18000);
    EXPECT_EQ(front.filter.highPass.kind, CrossoverFilter::Kind::butterworth);
    EXPECT_EQ(front.filter.highPass.order, 1);
    EXPECT_EQ(front.filter.lowPass.hz, 19000);
    EXPECT_EQ(front.nonlinearity.a2PerV, 0.0005);
    EXPECT_EQ(front.nonlinearity.a3PerV2, 0.0001);
    EXPECT_EQ(s.drivers[1].cap.axis.azimuthDeg, 180);
    EXPECT_DOUBLE_EQ(s.drivers[1].filter.delayS, 0.2e-3);
    EXPECT_EQ(s.microphoneNoise.levelDb, 18);
    EXPECT_EQ(s.background.colour, NoiseColour::pink);
    EXPECT_DOUBLE_EQ(s.converters.latencyS, 1.23e-3);
    EXPECT_DOUBLE_EQ(s.converters.startJitterS, 2e-5);
    EXPECT_EQ(s.converters.bits, 24);
    EXPECT_EQ(s.converters.noiseDb, -118);
    ASSERT_EQ(s.reflections.size(), 1U);
    EXPECT_DOUBLE_EQ(s.reflections[0].delayS, 6.5e-3);
    EXPECT_EQ(s.reflections[0].gainDb, -24);
    EXPECT_EQ(s.reflections[0].belowHz, 90);
    EXPECT_EQ(s.temperatureDriftCPerHour, 0.2);
    EXPECT_TRUE(s.airAbsorbs);
    EXPECT_EQ(s.table.speedDegPerS, 12);
    EXPECT_EQ(s.table.accelerationDegPerS2, 20);
    EXPECT_EQ(s.table.positionErrorDeg, 0.05);
    EXPECT_EQ(s.table.resolutionDeg, 0.01);
    EXPECT_EQ(s.table.highestDeg, 185);
    EXPECT_EQ(s.attendantS, 120);
    EXPECT_EQ(s.remountingErrorDeg, 0.3);
    ASSERT_EQ(s.faults.size(), 4U);
    EXPECT_EQ(s.faults[0].kind, FaultKind::bang);
    EXPECT_EQ(s.faults[0].atShot, 20);
    EXPECT_EQ(s.faults[1].otherSection, "rear");
    EXPECT_EQ(s.faults[2].amountDeg, 3);
    EXPECT_EQ(s.faults[3].atTableDeg, 90);
}

TEST(Scene, MessagesSayWhereInThePlanAndWhatWasProbablyMeant) {
    EXPECT_THAT(refusal(R"({"drivers": [{"section": "front", "resonance_khz": 2}]})"),
                testing::AllOf(testing::HasSubstr("p.json: /simulation/drivers/0"),
                               testing::HasSubstr("Did you mean 'resonance_hz'?")));
    EXPECT_THAT(refusal(R"({"drivers": [{"section": "front"}], "table": {"speed_deg_per_s": 0}})"),
                testing::HasSubstr("/simulation/table/speed_deg_per_s is 0, outside its range"));
    EXPECT_THAT(refusal("{}"), testing::HasSubstr("/simulation/drivers is missing"));
    EXPECT_THAT(refusal(withFault(R"("kind": "bangs", "at_shot": 1)")), testing::HasSubstr("'bang'"));
    EXPECT_THAT(refusal(withFault(R"("kind": "bang")")), testing::HasSubstr("does not say when"));
    EXPECT_THAT(refusal(withFault(R"("kind": "bang", "at_move": 3)")), testing::HasSubstr("Use at_shot"));
    EXPECT_THAT(refusal(withFault(R"("kind": "table-slips", "at_label": "x")")),
                testing::HasSubstr("Use at_move"));
}

TEST(Scene, EveryFaultHasAWordThatIsReadBack) {
    for (int kind = 0; kind <= static_cast<int>(FaultKind::limitRefused); ++kind) {
        const auto fault = static_cast<FaultKind>(kind);
        std::string text = "\"kind\": \"" + faultName(fault) + "\", \"at_table_deg\": 0";
        if (fault >= FaultKind::sectionDead && fault <= FaultKind::sectionReversed)
            text += R"(, "section": "front")";
        if (fault == FaultKind::sectionsSwapped) text += R"(, "other_section": "rear")";
        EXPECT_EQ(scene(withFault(text)).faults.at(0).kind, fault);
    }
}

TEST(Scene, WithAnotherSeedIsOtherwiseTheSame) {
    const std::string text = R"({"drivers": [{"section": "front"}], "sphere_radius_m": 0.2, "table": {}})";
    for (const std::string& changed : {sceneWithSeed(text, 77), sceneWithSeed(sceneWithSeed(text, 3), 77)}) {
        EXPECT_EQ(scene(changed).seed, 77);
        EXPECT_EQ(scene(changed).sphereRadiusM, 0.2);
    }
    EXPECT_EQ(sceneWithSeed(sceneWithSeed(text, 3), 77), sceneWithSeed(text, 77));
}

}  // namespace
}  // namespace volvelle
