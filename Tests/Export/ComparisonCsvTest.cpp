#include "Export/ComparisonCsv.h"
#include "Support/CommaLocale.h"
#include "Text/Csv.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>

namespace volvelle {
namespace {

using testing::HasSubstr;
using testing::Not;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

ComparedRun run(const std::string& label, int polarity, double shiftDb) {
    return {label,
            "/somewhere/" + label + ".h5",
            "f" + label,
            "Invented",
            "000" + label,
            "dB re something",
            polarity,
            shiftDb,
            {20, {30, 20000}, nan, nan, {}}};
}

ComparedLevels levels(const std::string& key) {
    ComparedLevels out;
    out.key = out.title = key;
    out.levelDb = {{80, 81}, {80.5, 82}, {nan, 79}};
    out.differenceDb = {{}, {0.5, 1}, {nan, -2}};
    out.differs = {std::nullopt, LevelDifference{1, 1000, 0.79}, LevelDifference{-2, 1000, 2}};
    return out;
}

Comparison smallComparison() {
    Comparison c;
    c.drive = "front";
    c.frequencyHz = {100, 1000};
    c.runs = {run("A", 1, 0), run("B", -1, -0.75), run("C", 0, 0.25)};
    c.curves = {levels("on_axis")};
    c.positions = {levels("horizontal:50")};
    c.positions[0].missing = "C: not measured or left out";
    c.valid = {30, 20000};
    c.isAligned = true;
    c.alignedOn = "listening_window";
    c.remarks = {"polarity is swapped: A positive, B negative"};
    c.notes = {"A: something"};
    return c;
}

TEST(ComparisonCsv, HoldsEveryRunAndItsDifferenceToTheFirst) {
    const std::string text = comparisonCsv(smallComparison());
    EXPECT_THAT(text, HasSubstr("\nkind,name,frequency_hz,a_db,b_db,c_db,b_minus_a_db,c_minus_a_db\n"
                                "curve,on_axis,100,80.0000,80.5000,,0.5000,\n"
                                "curve,on_axis,1000,81.0000,82.0000,79.0000,1.0000,-2.0000\n"
                                "position,horizontal:50,100,80.0000,80.5000,,0.5000,\n"));
    CsvOptions options;
    options.hashComments = true;
    EXPECT_EQ(CsvTable::parse(text, "c.csv", options).rows().size(), 4u);
}

TEST(ComparisonCsv, ItsFirstLinesSayWhichRunsWereHeldAgainstEachOtherAndHow) {
    const std::string text = comparisonCsv(smallComparison());
    for (const char* line :
         {"# run A: A.h5, fingerprint fA, unit Invented, serial 000A\n", "# run C: C.h5",
          "# polarity of A, of the first arrival on the axis: positive\n",
          "# polarity of B, of the first arrival on the axis: negative\n",
          "# polarity of C, of the first arrival on the axis: not known\n",
          "# aligned: -0.7500 dB are added to the levels of B (mean difference of listening_window",
          "# remark: polarity is swapped", "# missing: horizontal:50: C: not measured", "30 Hz to 20000 Hz",
          "# note: A: something\n"})
        EXPECT_THAT(text, HasSubstr(line));
    EXPECT_THAT(text, Not(HasSubstr("/somewhere")));
    EXPECT_THAT(text, Not(HasSubstr("added to the levels of A")));
}

TEST(ComparisonCsv, IsTheSameInGerman) {
    const std::string before = comparisonCsv(smallComparison());
    const CommaLocale german;
    ASSERT_TRUE(german.isGerman());
    EXPECT_EQ(comparisonCsv(smallComparison()), before);
}

}  // namespace
}  // namespace volvelle
