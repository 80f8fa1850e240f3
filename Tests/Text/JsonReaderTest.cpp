#include "Text/JsonReader.h"

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <rapidcheck/gtest.h>

namespace volvelle {
namespace {

JsonObject object(std::string_view text) {
    return JsonObject::parse(text, "p.json");
}

template <typename Act>
std::string messageOf(Act act) {
    try {
        act();
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::input);
        return error.what();
    }
    return "no error";
}

std::string refusal(std::string_view text) {
    return messageOf([&] { object(text); });
}

RC_GTEST_PROP(JsonReader, AnyTextIsReadOrRefusedWithItsSource, ()) {
    const auto text =
        *rc::gen::container<std::string>(rc::gen::elementOf(std::string("{}[]\"a:,1.e-+/*tn \n\\u\xC3\xA4")));
    try {
        object("{" + text);
    } catch (const Error& error) {
        RC_ASSERT(error.kind() == ErrorKind::input);
        RC_ASSERT(error.where().starts_with("p.json"));
    }
}

RC_GTEST_PROP(JsonReader, NumbersAndTextsAreReadAsAGeneralLibraryWritesThem,
              (double number, std::string text)) {
    // Held against nlohmann-json's own writer; texts are made UTF-8 by its replacement of wrong bytes.
    const nlohmann::json bytes = text;
    const std::string quotedText = bytes.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
    RC_PRE(!text.empty() && text.find('\0') == std::string::npos);
    const std::string document = "{\"n\": " + nlohmann::json(number).dump() + ", \"t\": " + quotedText + "}";
    RC_ASSERT(object(document).number("n") == std::optional(number));
    RC_ASSERT(object(document).text("t") ==
              std::optional(nlohmann::json::parse(quotedText).get<std::string>()));
    RC_ASSERT(nlohmann::json::parse(object(document).asText()) == nlohmann::json::parse(document));
}

TEST(JsonReader, ReadsEachKind) {
    const auto read = object(R"(// a comment
      { "n": 1.5, "w": 3, "b": true, "t": "x", "c": "up", "l": [1, 2.5], "i": [1, 2], "s": ["a", "b"],
        "o": { "k": -1 }, "os": [ { "k": 1 }, { "k": 2 } ] /* another */ })");
    EXPECT_EQ(read.number("n"), 1.5);
    EXPECT_EQ(read.wholeNumber("w", 0, 9), 3);
    EXPECT_EQ(read.boolean("b"), true);
    EXPECT_EQ(read.text("t"), "x");
    EXPECT_EQ(read.choice("c", {"down", "up"}), 1U);
    EXPECT_EQ(read.numbers("l", 1, 3), (std::vector<double>{1, 2.5}));
    EXPECT_EQ(read.wholeNumbers("i", 3, 0, 9), (std::vector<int>{1, 2}));
    EXPECT_EQ(read.texts("s", 3), (std::vector<std::string>{"a", "b"}));
    EXPECT_EQ(read.object("o")->number("k"), -1);
    EXPECT_EQ(read.objects("os", 9).at(1).number("k"), 2);
    EXPECT_EQ(read.objects("os", 9).at(1).pointer("k"), "/os/1/k");
    EXPECT_TRUE(read.isText("t") && read.isNumber("n") && !read.isText("n"));
    EXPECT_NO_THROW(read.finish());
}

TEST(JsonReader, WhatIsAbsentIsNothing) {
    const auto read = object("{}");
    EXPECT_EQ(read.number("n"), std::nullopt);
    EXPECT_EQ(read.wholeNumber("n", 0, 1), std::nullopt);
    EXPECT_EQ(read.boolean("n"), std::nullopt);
    EXPECT_EQ(read.text("n"), std::nullopt);
    EXPECT_EQ(read.choice("n", {"a"}), std::nullopt);
    EXPECT_EQ(read.numbers("n", 1, 2), std::nullopt);
    EXPECT_EQ(read.texts("n", 2), std::nullopt);
    EXPECT_FALSE(read.object("n"));
    EXPECT_TRUE(read.objects("n", 2).empty());
    EXPECT_FALSE(read.has("n"));
}

TEST(JsonReader, SyntaxErrorsAreNamedByLineAndColumn) {
    EXPECT_EQ(refusal("{\n  \"a\": 1,\n}"),
              "p.json, line 3, column 1: the JSON cannot be read: unexpected '}'; expected string literal. "
              "Check it and what "
              "stands just before");
    EXPECT_EQ(refusal("{\"ä\": x}").substr(0, 25), "p.json, line 1, column 7:");
    EXPECT_EQ(refusal("").substr(0, 25), "p.json, line 1, column 1:");
    EXPECT_EQ(refusal("{\"a\": 1").substr(0, 25), "p.json, line 1, column 8:");
    EXPECT_EQ(refusal("{} {}").substr(0, 25), "p.json, line 1, column 4:");
    EXPECT_EQ(refusal("{\n\n  // c\n  \"a\": [1,, 2]}").substr(0, 26), "p.json, line 4, column 11:");
    EXPECT_EQ(refusal("\xEF\xBB\xBF{\"a\" 1}").substr(0, 25), "p.json, line 1, column 6:");
    EXPECT_EQ(refusal("{/* open").substr(0, 14), "p.json, line 1");
    EXPECT_EQ(refusal("{\"a\": \"\xFF\"}").substr(0, 36), "p.json, line 1: is not UTF-8 text. C");
}

TEST(JsonReader, ADecimalCommaIsNamed) {
    EXPECT_EQ(refusal("{\"distance_m\": 2,5}"),
              "p.json, line 1, column 18: 2,5 is written with a decimal comma. Write a point, 2.5, or quote the next key "
              "where the comma ends the member");
    for (const char* text : {"{\"a\": -2,25 , \"b\": 1}", "{\"a\": 2,5\n}", "{\"a\": 2,5", "{\"a\": 0,5, \"b\": 1}"})
        EXPECT_NE(refusal(text).find("decimal comma"), std::string::npos) << text << ": " << refusal(text);
    EXPECT_NE(refusal("{\"a\": 2,05}").find("Write a point, 2.05,"), std::string::npos) << refusal("{\"a\": 2,05}");
    for (const char* text : {"{\"a\": [1,2}", "{\"a\": 2, b}", "{\"a\": , 5}", "{,5}", "5,5"})
        EXPECT_NE(refusal(text).find("cannot be read"), std::string::npos) << text << ": " << refusal(text);
}

TEST(JsonReader, NumbersThatNoDoubleHoldsAreRefused) {
    for (const char* number :
         {"1e999", "-1e400", "nan", "NaN", "Infinity", "-inf", "0x10", "+1", ".5", "1.", "01"})
        EXPECT_NE(refusal("{\"a\": " + std::string(number) + "}").find("the JSON cannot be read"),
                  std::string::npos)
            << number;
    EXPECT_EQ(refusal("{\"a\": 1e999}").substr(0, 48), "p.json, line 1, column 11: the JSON cannot be re");
    EXPECT_EQ(object("{\"a\": 123456789012345678901234567890}").number("a"),
              123456789012345678901234567890.0);
    EXPECT_EQ(object("{\"a\": 1e-999}").number("a"), 0.0);
    EXPECT_EQ(object("{\"a\": 18446744073709551615}").number("a"), 18446744073709551615.0);
}

TEST(JsonReader, AKeyThatStandsTwiceIsRefused) {
    EXPECT_EQ(refusal(R"({"a": 1, "a": 2})"), "p.json: the document has the key 'a' twice. Keep one of them");
    EXPECT_EQ(refusal(R"({"u": {"l": [0, {"k/~": 1, "k/~": 2}]}})"),
              "p.json: /u/l/1 has the key 'k/~' twice. Keep one of them");
    EXPECT_NO_THROW(object(R"({"a": {"k": 1}, "b": {"k": 1}, "c": {"a": 1}})"));
}

TEST(JsonReader, NestingIsLimited) {
    const auto nested = [](std::size_t depth) {
        return "{\"a\": " + std::string(depth, '[') + std::string(depth, ']') + "}";
    };
    EXPECT_NO_THROW(object(nested(63)));
    EXPECT_NE(refusal(nested(64)).find("nested too deep"), std::string::npos);
    EXPECT_NE(refusal("{\"a\": " + std::string(1000000, '[')).find("nested too deep"), std::string::npos);
}

TEST(JsonReader, FieldErrorsCarryThePointerAndAdvice) {
    const auto read = object(
        R"({"u": {"n": -1, "t": "x", "z": null, "l": [1, "2"], "w": 1.5, "e": "", "o": [], "q/r": 1}})");
    const auto u = *read.object("u");
    EXPECT_EQ(messageOf([&] { u.number("n", Range::above(0)); }),
              "p.json: /u/n is -1, outside its range. Write a number above 0");
    EXPECT_EQ(messageOf([&] { u.number("t"); }),
              "p.json: /u/t is the text 'x', not a number. Write a number of any size");
    EXPECT_EQ(messageOf([&] { u.number("z"); }),
              "p.json: /u/z is null. Leave the key out where nothing is stated");
    EXPECT_EQ(messageOf([&] { u.numbers("l", 1, 3); }),
              "p.json: /u/l/1 is the text '2', not a number. Write a number of any size");
    EXPECT_EQ(messageOf([&] { u.numbers("l", 3, 3); }),
              "p.json: /u/l is a list of 2. Write 3 of them in square brackets");
    EXPECT_EQ(messageOf([&] { u.wholeNumber("w", 0, 9); }),
              "p.json: /u/w is 1.5, not a whole number. Write a whole number from 0 to 9");
    EXPECT_EQ(messageOf([&] { u.text("n"); }),
              "p.json: /u/n is the number -1, not a text. Put it in double quotes");
    EXPECT_EQ(messageOf([&] { u.text("e"); }),
              "p.json: /u/e is an empty text. Leave the key out where nothing is stated");
    EXPECT_EQ(messageOf([&] { u.objects("o", 9); }),
              "p.json: /u/o is a list of 0. Write 1 to 9 of them in square brackets");
    EXPECT_EQ(messageOf([&] { u.object("l"); }),
              "p.json: /u/l is a list, not an object. Put its keys in braces { }");
    EXPECT_EQ(messageOf([&] { u.boolean("t"); }),
              "p.json: /u/t is the text 'x', neither true nor false. Write true or false without quotes");
    EXPECT_EQ(messageOf([&] {
                  u.choice("t", {"y", "z"});
              }),
              "p.json: /u/t is 'x', which is not known. Did you mean 'y'? Known are y, z");
    EXPECT_EQ(u.pointer("q/r"), "/u/q~1r");
    EXPECT_EQ(messageOf([&] { object("[1]"); }),
              "p.json: the document is a list, not an object. Put its keys in braces { }");
}

TEST(JsonReader, UnknownKeysSuggestTheNearest) {
    const auto read = object(R"({"u": {"gain_bd": 1}})");
    const auto u = *read.object("u");
    u.number("gain_db");
    u.number("delay_s");
    EXPECT_EQ(messageOf([&] { u.finish(); }),
              "p.json: /u has a key 'gain_bd' that is not known. Did you mean 'gain_db'? Known are gain_db, "
              "delay_s");
    EXPECT_NO_THROW(read.finish());
}

TEST(JsonReader, TextsWithNullCharactersOrTooLongAreRefused) {
    EXPECT_NE(messageOf([] { object("{\"a\": \"x\\u0000y\"}").text("a"); }).find("null character"),
              std::string::npos);
    EXPECT_EQ(object("{\"a\": \"xxxx\"}").text("a", 4), "xxxx");
    EXPECT_NE(messageOf([] { object("{\"a\": \"xxxxx\"}").text("a", 4); }).find("5 bytes"),
              std::string::npos);
}

TEST(JsonReader, TextIsOneLineSortedWithoutComments) {
    EXPECT_EQ(object("{ // c\n \"b\": [1, {\"d\": true}, null],\n \"a\": \"x\\\"\" }").asText(),
              R"({"a": "x\"", "b": [1, {"d": true}, null]})");
}

}  // namespace
}  // namespace volvelle
