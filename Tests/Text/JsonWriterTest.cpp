#include "Text/Error.h"
#include "Text/JsonReader.h"
#include "Text/JsonWriter.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <limits>

namespace volvelle {
namespace {

RC_GTEST_PROP(JsonWriter, AGeneralLibraryReadsTheSameValues,
              (double x, int n, bool b, std::vector<double> l)) {
    const auto text = *rc::gen::container<std::string>(rc::gen::inRange<char>(1, 127));
    JsonObjectText inner;
    inner.set("l", l);
    JsonObjectText object;
    object.set("x", x);
    object.set("n", n);
    object.set("b", b);
    object.set(text, text);
    object.set("inner", inner);
    const auto read = nlohmann::json::parse(object.text());
    if (text != "x" && text != "n" && text != "b" && text != "inner") {
        RC_ASSERT(read["x"].get<double>() == x);
        RC_ASSERT(read["n"].get<int>() == n);
        RC_ASSERT(read["b"].get<bool>() == b);
        RC_ASSERT(read["inner"]["l"].get<std::vector<double>>() == l);
    }
    const auto& named = read[text];
    RC_ASSERT(!named.is_string() || named.get<std::string>() == text);
}

TEST(JsonWriter, KeysAreSortedAndNumbersShort) {
    JsonObjectText object;
    object.set("z", 0.1);
    object.set("a", "x");
    object.set("m", std::vector<int>{1, 2});
    object.set("k", std::vector<std::string>{"p", "q"});
    object.set("j", -0.0);
    EXPECT_EQ(object.text(), R"({"a": "x", "j": 0, "k": ["p", "q"], "m": [1, 2], "z": 0.1})");
}

TEST(JsonWriter, WhatIsNotStatedIsLeftOut) {
    JsonObjectText object;
    object.setStated("a", std::numeric_limits<double>::quiet_NaN());
    object.setStated("b", std::string());
    object.setStated("c", JsonObjectText());
    EXPECT_TRUE(object.empty());
    EXPECT_EQ(object.text(), "{}");
}

TEST(JsonWriter, WhatJsonCannotHoldIsABug) {
    JsonObjectText object;
    EXPECT_THROW(object.set("a", std::numeric_limits<double>::infinity()), Error);
    EXPECT_THROW(object.set("a", std::numeric_limits<double>::quiet_NaN()), Error);
}

TEST(JsonWriter, WrongBytesBecomeReplacementCharacters) {
    EXPECT_EQ(jsonQuoted("a\xFF\"\n"), "\"a\xEF\xBF\xBD\\\"\\n\"");
}

}  // namespace
}  // namespace volvelle
