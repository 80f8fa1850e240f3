#include "Export/ResponsesCsv.h"
#include "Support/CommaLocale.h"
#include "Text/Csv.h"

#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

const std::vector<PositionResponse> responses{{"horizontal:50", {80.00004, std::nan("")}, {-12.3456, 180}},
                                              {"azimuth:30,elevation:20", {1, 2}, {}}};

TEST(ResponsesCsv, isTheDocumentedTable) {
    EXPECT_EQ(responsesCsv({"drive: front"}, {100, 1000}, responses),
              "# drive: front\n"
              "frequency_hz,position,level_db,phase_deg\n"
              "100,horizontal:50,80.0000,-12.346\n"
              "1000,horizontal:50,,180.000\n"
              "100,\"azimuth:30,elevation:20\",1.0000,\n"
              "1000,\"azimuth:30,elevation:20\",2.0000,\n");
}

TEST(ResponsesCsv, isReadBackByOurReader) {
    CsvOptions options;
    options.hashComments = true;
    const CsvTable table = CsvTable::parse(responsesCsv({"a,b"}, {100, 1000}, responses), "r.csv", options);
    ASSERT_EQ(table.rows().size(), 4u);
    EXPECT_EQ(table.rows()[2].text("position"), "azimuth:30,elevation:20");
    EXPECT_EQ(table.rows()[0].number("phase_deg"), -12.346);
    EXPECT_FALSE(table.rows()[1].has("level_db"));
}

TEST(ResponsesCsv, isTheSameInGerman) {
    const std::string before = responsesCsv({}, {20.2908, 1234.5}, responses);
    const CommaLocale german;
    ASSERT_TRUE(german.isGerman());
    EXPECT_EQ(responsesCsv({}, {20.2908, 1234.5}, responses), before);
}

}  // namespace
}  // namespace volvelle
