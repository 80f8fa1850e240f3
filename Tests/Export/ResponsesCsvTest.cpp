#include "Export/ResponsesCsv.h"
#include "Support/CommaLocale.h"
#include "Text/Csv.h"

#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

PositionResponses twoPositions() {
    PositionResponses found;
    found.frequencyHz = {100, 1000};
    found.responses = {{"horizontal:50", {80.00004, std::nan("")}, {-12.3456, 180}},
                       {"azimuth:30,elevation:20", {1, 2}, {}}};
    found.drive = "front+rear";
    found.levelStatement = "dB re 20 µPa at 1 m, 2.83 V at the terminals of front";
    found.recipeJson = R"({"smoothing": 0})";
    found.validity.resolutionHz = 66.7;
    found.validity.excited = {22, 19800};
    found.validity.farFieldHz = 2860;
    found.validity.chamberLowestHz = std::nan("");
    found.doubts = {"horizontal:50: clipped: 5 consecutive samples at full scale"};
    found.notes = {"a,b"};
    return found;
}

std::string tableOf(const PositionResponses& found) {
    return responsesCsv({"0.1.0", "/somewhere/unit.h5", "3f9c", "Invented", "", "as it was typed"}, found);
}

TEST(ResponsesCsv, isTheDocumentedTable) {
    EXPECT_EQ(tableOf(twoPositions()),
              "# volvelle responses\n"
              "# program version: 0.1.0\n"
              "# run: unit.h5\n"
              "# run fingerprint: 3f9c\n"
              "# unit: Invented, serial not stated\n"
              "# drive: front+rear\n"
              "# level: dB re 20 µPa at 1 m, 2.83 V at the terminals of front\n"
              "# phase: degrees against time zero, e^(+jwt), propagation included\n"
              "# recipe: {\"smoothing\": 0}\n"
              "# valid: 66.7 Hz to 19800 Hz\n"
              "# limits: window resolves down to 66.7 Hz; excited 22 Hz to 19800 Hz; chamber usable from not "
              "stated; far-field conditions up to 2860 Hz\n"
              "# doubtful: horizontal:50: clipped: 5 consecutive samples at full scale\n"
              "# note: a,b\n"
              "frequency_hz,position,level_db,phase_deg\n"
              "100,horizontal:50,80.0000,-12.346\n"
              "1000,horizontal:50,,180.000\n"
              "100,\"azimuth:30,elevation:20\",1.0000,\n"
              "1000,\"azimuth:30,elevation:20\",2.0000,\n");
}

TEST(ResponsesCsv, saysWhereTheLimitsLeaveNothing) {
    PositionResponses found = twoPositions();
    found.validity.resolutionHz = 25000;
    EXPECT_NE(tableOf(found).find("# valid: nowhere, "), std::string::npos);
    EXPECT_EQ(tableOf(found).find("25000 Hz to"), std::string::npos);
}

TEST(ResponsesCsv, isReadBackByOurReader) {
    CsvOptions options;
    options.hashComments = true;
    const CsvTable table = CsvTable::parse(tableOf(twoPositions()), "r.csv", options);
    ASSERT_EQ(table.rows().size(), 4u);
    EXPECT_EQ(table.rows()[2].text("position"), "azimuth:30,elevation:20");
    EXPECT_EQ(table.rows()[0].number("phase_deg"), -12.346);
    EXPECT_FALSE(table.rows()[1].has("level_db"));
}

TEST(ResponsesCsv, isTheSameInGerman) {
    PositionResponses found = twoPositions();
    found.frequencyHz = {20.2908, 1234.5};
    const std::string before = tableOf(found);
    const CommaLocale german;
    ASSERT_TRUE(german.isGerman());
    EXPECT_EQ(tableOf(found), before);
}

}  // namespace
}  // namespace volvelle
