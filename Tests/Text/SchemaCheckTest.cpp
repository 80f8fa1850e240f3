#include "Support/SchemaCheck.h"
#include "Text/JsonReader.h"

#include <gtest/gtest.h>

namespace volvelle {
namespace {

using nlohmann::json;

const json schema =
    json::parse(R"({"type": "object", "additionalProperties": false, "required": ["k"], "properties": {
    "k": {"type": "number", "exclusiveMinimum": 0, "maximum": 2}, "t": {"enum": ["a", "b"]},
    "l": {"type": "array", "minItems": 1, "maxItems": 2, "items": {"type": "integer", "minimum": 1}}}})");

TEST(SchemaCheck, FindsEachViolation) {
    EXPECT_EQ(violationOf(schema, json::parse(R"({"k": 2, "t": "a", "l": [1, 2]})")), "");
    for (const char* text : {"{}", R"({"k": 0})", R"({"k": 2.1})", R"({"k": "x"})", R"({"k": 1, "t": "c"})",
                             R"({"k": 1, "l": []})", R"({"k": 1, "l": [1, 2, 3]})", R"({"k": 1, "l": [0]})",
                             R"({"k": 1, "l": [1.5]})", R"({"k": 1, "m": 1})"})
        EXPECT_NE(violationOf(schema, json::parse(text)), "") << text;
    EXPECT_NE(violationOf(json::parse(R"({"multipleOf": 2})"), 2), "")
        << "an unknown keyword has to be noticed";
}

}  // namespace
}  // namespace volvelle
