#include "Export/FamilyCsv.h"
#include "Export/SmallFamily.h"
#include "Support/CommaLocale.h"
#include "Text/Csv.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace volvelle {
namespace {

using testing::HasSubstr;
using testing::Not;

CsvTable parsed(const std::string& text) {
    CsvOptions options;
    options.hashComments = true;
    return CsvTable::parse(text, "family.csv", options);
}

std::string commentsOf(const std::string& text) {
    return text.substr(0, text.find("\nfrequency_hz") + 1);
}

TEST(FamilyCsv, theFirstColumnsAreThoseThatWerePromised) {
    const std::string text = familyCsv(smallFamily());
    EXPECT_THAT(
        text,
        HasSubstr("\nfrequency_hz,on_axis_db,listening_window_db,floor_bounce_db,ceiling_bounce_db,front_"
                  "wall_bounce_db,"
                  "side_wall_bounce_db,rear_wall_bounce_db,early_reflections_db,sound_power_db,"
                  "early_reflections_di_db,sound_power_di_db,estimated_in_room_db,horizontal_reflections_db,"
                  "sound_power_level_db,on_axis_phase_deg,on_axis_group_delay_ms,harmonic_2_percent,harmonic_"
                  "3_percent,"
                  "harmonic_4_percent,harmonic_5_percent,harmonic_2_floor_percent,harmonic_3_floor_percent,"
                  "harmonic_4_floor_percent,harmonic_5_floor_percent,total_harmonic_distortion_percent,"
                  "beamwidth_horizontal_deg,beamwidth_vertical_deg\n"));
}

TEST(FamilyCsv, theFirstColumnsDoNotDependOnTheOrderOrNumberOfCurves) {
    Family family = smallFamily();
    std::swap(family.curves[0], family.curves[13]);
    family.curves.erase(family.curves.begin() + 2);
    const CsvTable table = parsed(familyCsv(family));
    EXPECT_EQ(table.columns()[1], "on_axis_db");
    EXPECT_EQ(table.columns()[3], "floor_bounce_db");
    EXPECT_FALSE(table.rows()[0].has("floor_bounce_db"));
    EXPECT_NEAR(table.rows()[0].number("on_axis_db"), 60.12345, 5.01e-5);
}

TEST(FamilyCsv, numbersComeBackAsTheyWere) {
    const Family family = smallFamily();
    const CsvTable table = parsed(familyCsv(family));
    ASSERT_EQ(table.rows().size(), 3u);
    for (std::size_t i = 0; i < 3; ++i) {
        const CsvRow& row = table.rows()[i];
        EXPECT_NEAR(row.number("frequency_hz") / family.frequencyHz[i], 1, 1e-8);
        for (const Curve& c : family.curves) {
            if (std::isnan(c.levelDb[i])) {
                EXPECT_FALSE(row.has(c.key + "_db"));
            } else {
                EXPECT_NEAR(row.number(c.key + "_db"), c.levelDb[i], 5.01e-5) << c.key;
            }
        }
        EXPECT_NEAR(row.number("on_axis_phase_deg"), family.onAxisPhaseDeg[i], 5.01e-4);
        EXPECT_NEAR(row.number("total_harmonic_distortion_percent"), 100 * family.distortion.total[i], 1e-9);
    }
    EXPECT_NEAR(table.rows()[2].number("harmonic_2_percent") / 0.00123456789, 1, 5e-6);
    EXPECT_NEAR(table.rows()[0].number("on_axis_group_delay_ms"), 5.8324567, 5.01e-6);
    EXPECT_NEAR(table.rows()[0].number("harmonic_5_floor_percent"), 0.003, 1e-12);
}

TEST(FamilyCsv, tellsTheLevelOfTheDistortionAndWhatWindowTimesCountFrom) {
    Family family = smallFamily();
    EXPECT_THAT(familyCsv(family), HasSubstr("were measured with a level that is not stated"));
    family.distortion.drivenAt = "peak of the excitation 5 V";
    family.earliestArrivalS = 0.0059;
    const std::string text = familyCsv(family);
    EXPECT_THAT(text, HasSubstr("total_harmonic_distortion_percent were measured with a peak of the excitation 5 V, not at "
                                "the voltage under level"));
    EXPECT_THAT(text, HasSubstr("count from the earliest arrival, 5.900 ms after time zero"));
}

TEST(FamilyCsv, randomLevelsComeBackToWithinHalfTheLastDecimal) {
    std::mt19937 random(20261124);
    std::uniform_real_distribution<double> level(-200, 200);
    Family family = smallFamily();
    family.frequencyHz.clear();
    for (Curve& c : family.curves) c.levelDb.clear();
    for (int i = 0; i < 400; ++i) {
        family.frequencyHz.push_back(20 * std::exp2(i / 40.0));
        for (Curve& c : family.curves) c.levelDb.push_back(level(random));
    }
    const CsvTable table = parsed(familyCsv(family));
    ASSERT_EQ(table.rows().size(), 400u);
    for (std::size_t i = 0; i < 400; ++i) {
        for (const Curve& c : family.curves)
            EXPECT_NEAR(table.rows()[i].number(c.key + "_db"), c.levelDb[i], 5.01e-5);
        EXPECT_NEAR(table.rows()[i].number("frequency_hz") / family.frequencyHz[i], 1, 1e-8);
    }
}

TEST(FamilyCsv, theBeamThatIsNeverNarrowIsNone) {
    const CsvTable table = parsed(familyCsv(smallFamily()));
    EXPECT_EQ(table.rows()[0].text("beamwidth_horizontal_deg"), "none");
    EXPECT_EQ(table.rows()[1].text("beamwidth_horizontal_deg"),
              "90.12");  // 90.125 lies on the binary grid: half to even
    EXPECT_FALSE(table.rows()[2].has("beamwidth_horizontal_deg"));
    EXPECT_FALSE(table.rows()[0].has("beamwidth_vertical_deg"));
}

TEST(FamilyCsv, itsFirstLinesSayWhereItComesFromAndWhatIsMissing) {
    const std::string text = commentsOf(familyCsv(smallFamily()));
    for (const char* line :
         {"# program version: 0.1.0\n", "# run: unit.h5\n", "# run fingerprint: 3f9c2ab07d41\n",
          "# unit: Invented, two-way, serial not stated\n", "# drive: front\n",
          "# axis: horizontal 180 degrees",
          "# level: dB re 20 µPa at 1 m, 2.83 V at the terminals of front\n",
          "# recipe: {\"grid\": {\"kind\": \"logarithmic\"}, \"smoothing\": 0}\n",
          "# valid: 66.7 Hz to 19800 Hz\n", "chamber usable from not stated",
          "far-field conditions up to 2860 Hz", "# polarity of the first arrival on the axis: negative\n",
          "# missing: sound_power_db: not measured: vertical:-10, vertical:10\n",
          "# missing: beamwidth_vertical_deg: no positions",
          "# derived: estimated_in_room_db: 12 % listening_window",
          "# note: doubtful captures are used: horizontal:50 (clipped)\n", "# note: two\n# lines\n",
          "dB: -40.0 unknown\n", "sound_power_level_db in dB re 1 pW"}) {
        EXPECT_THAT(text, HasSubstr(line));
    }
    EXPECT_THAT(text, Not(HasSubstr("/somewhere")));
}

TEST(FamilyCsv, saysWhereTheLimitsLeaveNothing) {
    Family family = smallFamily();
    family.validity.resolutionHz = 30000;
    const std::string text = commentsOf(familyCsv(family));
    EXPECT_THAT(text, HasSubstr("# valid: nowhere, as the limits leave nothing\n"));
    EXPECT_THAT(text, HasSubstr("window resolves down to 30000 Hz"));
}

TEST(FamilyCsv, aFamilyOfNothingIsATableOfNothingThatSaysSo) {
    Family family;
    family.validity.resolutionHz = std::nan("");
    family.onAxisMissing = "no capture on the axis of the drive";
    family.distortion.missing = "text responses do not tell harmonics apart";
    const std::string text = familyCsv(family);
    EXPECT_EQ(parsed(text).rows().size(), 0u);
    EXPECT_THAT(text,
                HasSubstr("# missing: on_axis_phase_deg, on_axis_group_delay_ms: no capture on the axis"));
    EXPECT_THAT(text, HasSubstr("total_harmonic_distortion_percent: text responses do not tell"));
    EXPECT_THAT(text, HasSubstr("# unit: not stated, serial not stated\n"));
}

TEST(FamilyCsv, isTheSameInGerman) {
    const std::string before = familyCsv(smallFamily());
    const CommaLocale german;
    ASSERT_TRUE(german.isGerman());
    EXPECT_EQ(familyCsv(smallFamily()), before);
}

}  // namespace
}  // namespace volvelle
