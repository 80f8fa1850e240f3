#include "Export/SectionsCsv.h"
#include "Support/CommaLocale.h"
#include "Text/Csv.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace volvelle {
namespace {

using testing::HasSubstr;
using testing::Not;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

Interaction smallInteraction() {
    Interaction i;
    i.sections = {"front", "rear"};
    i.settings = {{}, {-2, 0.0003, true}};
    i.head.drive = "front+rear";
    i.head.axisDeg = 0;
    i.head.levelStatement = "dB re 20 µPa at 1 m, 2.83 V at the terminals of front";
    i.head.runPath = "/somewhere/else/unit.h5";
    i.head.runFingerprint = "3f9c2ab07d41";
    i.head.unitModel = "Invented";
    i.head.validity = {66.7, {22, 19800}, 2860, nan, {}};
    i.head.recipeJson = R"({"smoothing": 0})";
    i.frequencyHz = {100, 1000};
    i.curves.push_back({"on_axis",
                        "On axis",
                        CurveUnit::pressureLevelDb,
                        {80.12344, 90},
                        {80.02344, nan},
                        {77, 88},
                        "",
                        "sum: not measured or left out: vertical:10"});
    SummedPosition p;
    p.at.name = "horizontal:50";
    p.wholeDb = {70.5, 71};
    p.wholeDeg = {-179.9996, 10};
    p.sumDb = {70, 71};
    p.sumDeg = {179, 11};
    p.powerSumDb = {69, 70};
    p.differenceDb = {-40.00004, -50};
    p.floorDb = {-60, nan};
    p.levelDifferenceDb = {0.5, nan};
    p.phaseDifferenceDeg = {1.0004, nan};
    i.positions.push_back(p);
    i.floorStatement = "made of noise; not known of every drive: repeats";
    i.notes = {"drive rear was excited 6.0 dB below front+rear: what depends on level shows as interaction"};
    return i;
}

CsvTable parsed(const std::string& text) {
    CsvOptions options;
    options.hashComments = true;
    return CsvTable::parse(text, "sections.csv", options);
}

TEST(SectionsCsv, HoldsCurvesThenPositionsWithTheFloorBesideTheDifference) {
    const std::string text = sectionsCsv(smallInteraction());
    EXPECT_THAT(text, HasSubstr("\nkind,name,frequency_hz,whole_db,whole_deg,sum_db,sum_deg,power_sum_db,"
                                "difference_re_loudest_db,floor_re_loudest_db,level_difference_db,"
                                "phase_difference_deg\n"
                                "curve,on_axis,100,80.1234,,80.0234,,77.0000,,,0.1000,\n"
                                "curve,on_axis,1000,90.0000,,,,88.0000,,,,\n"
                                "position,horizontal:50,100,70.5000,-180.000,70.0000,179.000,69.0000,"
                                "-40.0000,-60.0000,0.5000,1.000\n"
                                "position,horizontal:50,1000,71.0000,10.000,71.0000,11.000,70.0000,"
                                "-50.0000,,,\n"));
    EXPECT_EQ(parsed(text).rows().size(), 4u);
    EXPECT_THAT(text, Not(HasSubstr("\r")));
}

TEST(SectionsCsv, ItsFirstLinesSayWhatWasSummedAndWhatTheFloorIsMadeOf) {
    const std::string text = sectionsCsv(smallInteraction());
    for (const char* line :
         {"# run: unit.h5\n", "# run fingerprint: 3f9c2ab07d41\n", "# drive: front+rear\n",
          "# sections: front, rear\n", "# setting: rear: gain -2 dB, delay 0.3 ms, polarity reversed\n",
          "is that of the measured drive to this trial", "# floor: made of noise; not known of every drive",
          "# missing: on_axis: sum: not measured", "# note: drive rear was excited 6.0 dB below",
          "# recipe: {\"smoothing\": 0}\n", "# valid: 66.7 Hz to 19800 Hz\n"})
        EXPECT_THAT(text, HasSubstr(line));
    EXPECT_THAT(text, Not(HasSubstr("/somewhere")));
    Interaction neutral = smallInteraction();
    neutral.settings = {{}, {}};
    EXPECT_THAT(sectionsCsv(neutral), HasSubstr("# settings: as measured\n"));
}

TEST(SectionsCsv, IsTheSameInGerman) {
    const std::string before = sectionsCsv(smallInteraction());
    const CommaLocale german;
    ASSERT_TRUE(german.isGerman());
    EXPECT_EQ(sectionsCsv(smallInteraction()), before);
}

}  // namespace
}  // namespace volvelle
