#include "Support/CommaLocale.h"
#include "Text/Csv.h"
#include "Text/JsonReader.h"
#include "Text/JsonWriter.h"
#include "Text/Number.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <sstream>

namespace volvelle {
namespace {

/// Each test runs in a process that would get it wrong with the locale's own functions.
class InGerman : public testing::Test {
protected:
    void SetUp() override {
        ASSERT_TRUE(german_.isGerman())
            << "neither the locale de_DE.UTF-8 nor localedef with its sources (package locales) is here";
        std::ostringstream stream;
        stream << 1234.5;
        ASSERT_EQ(stream.str(), "1.234,5") << "the locale of this test does nothing";
    }
    CommaLocale german_;
};

TEST_F(InGerman, NumbersAreReadWithAPoint) {
    EXPECT_EQ(parseNumber("1234.5"), 1234.5);
    EXPECT_EQ(parseNumber("1234,5"), std::nullopt);
}

TEST_F(InGerman, NumbersAreWrittenWithAPoint) {
    EXPECT_EQ(shortestText(1234.5), "1234.5");
    EXPECT_EQ(fixedText(1234567.891, 2), "1234567.89");
    EXPECT_EQ(significantText(1234.5678, 6), "1234.57");
    EXPECT_EQ(Range::between(0.5, 1.5).text(), "from 0.5 to 1.5");
}

TEST_F(InGerman, JsonIsReadAndWrittenWithAPoint) {
    EXPECT_EQ(JsonObject::parse(R"({"a": 1234.5})", "x").number("a"), 1234.5);
    EXPECT_THROW(JsonObject::parse(R"({"a": 1e999})", "x"), Error);
    JsonObjectText object;
    object.set("a", 1234.5);
    EXPECT_EQ(object.text(), R"({"a": 1234.5})");
    EXPECT_EQ(JsonObject::parse(R"({"a": 1234.5})", "x").asText(), R"({"a": 1234.5})");
}

TEST_F(InGerman, TablesAreReadWithAPoint) {
    EXPECT_EQ(CsvTable::parse("a,b\n1.5,2\n", "x").rows()[0].number("a"), 1.5);
}

}  // namespace
}  // namespace volvelle
