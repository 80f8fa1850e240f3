#include "Export/FamilyJson.h"
#include "Export/SmallFamily.h"
#include "Support/CommaLocale.h"
#include "Text/Error.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <cmath>

namespace volvelle {
namespace {

using nlohmann::json;

TEST(FamilyJson, holdsCurvesWithPositionsAndWeights) {
    const Family family = smallFamily();
    const json root = json::parse(familyJson(family));
    ASSERT_EQ(root["curves"].size(), family.curves.size());
    for (std::size_t k = 0; k < family.curves.size(); ++k) {
        const json& curve = root["curves"][k];
        EXPECT_EQ(curve["key"], family.curves[k].key);
        for (std::size_t i = 0; i < 3; ++i) {
            if (std::isnan(family.curves[k].levelDb[i])) {
                EXPECT_TRUE(curve["level_db"][i].is_null());
            } else {
                EXPECT_NEAR(curve["level_db"][i].get<double>(), family.curves[k].levelDb[i], 5.01e-5);
            }
        }
    }
    EXPECT_EQ(root["curves"][0]["positions"], json::parse(R"([{"position": "horizontal:0", "weight": 0.75},
                                                              {"position": "horizontal:10", "weight": 0.25}])"));
    EXPECT_EQ(root["curves"][8]["missing"], "not measured: vertical:-10, vertical:10");
    EXPECT_TRUE(root["curves"][0]["missing"].is_null());
}

TEST(FamilyJson, holdsRecipeValidityAndOrigin) {
    const json root = json::parse(familyJson(smallFamily()));
    EXPECT_EQ(root["recipe"]["grid"]["kind"], "logarithmic");
    EXPECT_EQ(root["validity"]["low_hz"], 66.7);
    EXPECT_TRUE(root["validity"]["chamber_from_hz"].is_null());
    EXPECT_EQ(root["run"]["file"], "unit.h5");
    EXPECT_EQ(root["run"]["fingerprint"], "3f9c2ab07d41");
    EXPECT_EQ(root["polarity"], "negative");
    EXPECT_TRUE(root["unit"]["serial"].is_null());
    EXPECT_EQ(root["axis_deg"], 180);
    EXPECT_EQ(root["notes"].size(), 2u);
    EXPECT_NEAR(root["frequency_hz"][1].get<double>() / (20 * std::exp2(1.0 / 48)), 1, 1e-8);
}

TEST(FamilyJson, holdsMapsDistortionAndTheAxis) {
    const json root = json::parse(familyJson(smallFamily()));
    EXPECT_EQ(root["directivity"]["horizontal"]["beamwidth_deg"][0], "none");
    EXPECT_TRUE(root["directivity"]["horizontal"]["beamwidth_deg"][2].is_null());
    EXPECT_EQ(root["directivity"]["horizontal"]["angle_deg"], json::parse("[-10, 0, 10]"));
    EXPECT_EQ(root["directivity"]["horizontal"]["level_db"][1][2], 6);
    EXPECT_TRUE(root["directivity"]["vertical"]["level_db"].empty());
    EXPECT_EQ(root["distortion"]["harmonics"][0]["order"], 2);
    EXPECT_NEAR(root["distortion"]["harmonics"][0]["percent"][1].get<double>(), 2, 1e-9);
    EXPECT_EQ(root["distortion"]["total_percent"][0], 50);
    EXPECT_TRUE(root["distortion"]["excitation_peak_v"].is_null());
    Family driven = smallFamily();
    driven.distortion.peakV = 5;
    driven.distortion.peakFullScale = 0.5;
    driven.earliestArrivalS = 0.0059;
    const json told = json::parse(familyJson(driven));
    EXPECT_EQ(told["distortion"]["excitation_peak_v"], 5);
    EXPECT_EQ(told["distortion"]["excitation_peak_full_scale"], 0.5);
    EXPECT_EQ(told["earliest_arrival_ms"], 5.9);
    EXPECT_NEAR(root["on_axis"]["group_delay_ms"][0].get<double>(), 5.83246, 1e-9);
}

TEST(FamilyJson, takesBytesThatAreNoText) {
    Family family = smallFamily();
    family.unitModel = "a\xFF";
    EXPECT_EQ(json::parse(familyJson(family))["unit"]["model"], "a\xEF\xBF\xBD");
}

TEST(FamilyJson, aBrokenRecipeIsABug) {
    Family family = smallFamily();
    family.recipeJson = "{";
    EXPECT_THROW(familyJson(family), Error);
    family.recipeJson = "";
    EXPECT_TRUE(json::parse(familyJson(family))["recipe"].is_null());
}

TEST(FamilyJson, isTheSameInGerman) {
    const std::string before = familyJson(smallFamily());
    const CommaLocale german;
    ASSERT_TRUE(german.isGerman());
    EXPECT_EQ(familyJson(smallFamily()), before);
}

}  // namespace
}  // namespace volvelle
