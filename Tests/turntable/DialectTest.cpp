#include "Support/SchemaCheck.h"
#include "Text/Error.h"
#include "Text/TextFile.h"
#include "turntable/Dialect.h"
#include "turntable/Dialects.h"

#include <gtest/gtest.h>

#include <string>

namespace volvelle {

namespace {

const std::string folder = VOLVELLE_DATASETS "/dialects/";

void dialect(const std::string& text) {
    parseDialect(text, "d.json");
}

/// A small dialect, with further keys.
std::string with(const std::string& more) {
    return R"({"name": "d", "home": [{"send": "H"}], "move": [{"send": "M{count}"}], "stop": {"send": "S"})" +
           more + "}";
}

std::string refusal(const std::string& text) {
    try {
        dialect(text);
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::input);
        EXPECT_FALSE(error.advice().empty()) << error.what();
        return error.what();
    }
    return "accepted";
}

TEST(DialectFile, BothThatComeWithTheProgramAreRead) {
    const Dialect plain = shippedDialect(PlayedTable::Tongue::plain);
    EXPECT_TRUE(plain.readsBack());
    EXPECT_TRUE(plain.line.hasCheck);
    EXPECT_EQ(plain.move.front().send.filled({-12.5, 6, 17, 3, 3}), "17 TO -12.500 6.000");
    // Words of NIST IR 6556, "The NIST RS274NGC Interpreter", from memory: G90 absolute distance mode, G94
    // feed per minute (degrees per minute where only a rotary axis moves), G1 feed, G4 dwell, G28 home.
    const Dialect rs274 = shippedDialect(PlayedTable::Tongue::rs274);
    EXPECT_EQ(rs274.move.front().send.filled(rs274.valuesAt(-0.0001)), "G1 A0.000 F360");
    EXPECT_EQ(rs274.move.back().within, Patience::arrival);
    EXPECT_FALSE(rs274.stop.keepsZero);
}

TEST(DialectFile, ASmallOneIsEnough) {
    EXPECT_EQ(refusal(with("")), "accepted");
}

TEST(DialectFile, BadOnesAreRefusedWithTheirPlaceAndAdvice) {
    const auto expect = [](const std::string& text, const std::string& message) {
        EXPECT_EQ(refusal(text), message);
    };
    expect(R"({"name": "d", "home": [{"send": "H"}], "move": [{"send": "M{count}"}]})",
           "d.json: /stop is missing. A table that cannot be stopped is not turned");
    expect(R"({"name": "d", "move": [{"send": "M{count}"}], "stop": {"send": "S"}})",
           "d.json: /home is missing. Write the lines that send the table home");
    expect(R"({"name": "d", "home": [{"send": "H"}], "move": [{"send": "M"}], "stop": {"send": "S"}})",
           "d.json: /move sends {count} nowhere. Write where the table is to go");
    expect(with(R"(, "begin": [{"send": "X{cuont}"}])"),
           "d.json: /begin/0/send has the field {cuont}, which there is not. Did you mean 'count'? Known are "
           "count, "
           "speed, id");
    expect(with(R"(, "begin": [{"send": "X", "expect": ["A{*}{count}"]}])"),
           "d.json: /begin/0/expect has two fields that touch. Put what stands between them there");
    expect(with(R"(, "begin": [{"send": "X", "expect": ["A{count"]}])"),
           "d.json: /begin/0/expect has a { without its }. Fields are written as in {count}");
    expect(with(R"(, "ignored": ["{count} {count}"])"),
           "d.json: /ignored has {count} twice. Write {*} for what is not needed");
    expect(with(R"(, "busy": ["{*}a{*}a{*}a{*}a{*}"])"),
           "d.json: /busy has more than four {*}. Four are the most");
    expect(with(R"(, "where": [{"send": "?", "expect": ["ok"]}])"),
           "d.json: /where has {count} in no reply, or in more than one. One reply tells the position");
    expect(with(R"(, "where": [{"send": "?", "expect": ["{count} {state}"]}])"),
           "d.json: /states names no idle words, but where asks for {state}. Write both, or neither");
    expect(
        with(R"(, "limits": {"lowest_deg": 10})"),
        "d.json: /limits leave out 0°, where homing ends. Choose limits that contain 0, or shift zero_deg");
    expect(with(R"(, "limits": {"lowest_deg": 10, "highest_deg": 10})"),
           "d.json: /limits/highest_deg is not above lowest_deg. Write the soft limits, lowest first");
    expect(with(R"(, "count": {"zero_deg": 200})"),
           "d.json: /limits leave out zero_deg, the angle at which homing ends. Widen them");
    expect(with(R"(, "count": {"decimals": 0})"),
           "d.json: /arrival has a tolerance finer than half of what can be sent. Send more decimals, or "
           "write at least "
           "0.5 as tolerance_deg");
    expect(with(R"(, "errors": [{"reply": "E", "outcome": "lost"}])"),
           "d.json: /errors/0/means is missing. Say in plain words what the table means");
}

TEST(DialectFile, SchemaAndReaderKnowTheSameKeys) {
    EXPECT_EQ(
        expectSameKeys(loadJson(folder + "dialect.schema.json"), loadJson(folder + "complete.json"), dialect),
        15);
}

TEST(DialectFile, TheGuideNamesEveryKeyAndItsRange) {
    EXPECT_GT(expectDocumented(loadJson(folder + "dialect.schema.json"),
                               readTextFile(VOLVELLE_SOURCE "/Docs/turntable.md")),
              50);
}

TEST(DialectFile, SchemaAndReaderAgreeOnEveryValue) {
    const auto isRule = [](const Error& error) {
        for (const char* rule : {"is not above lowest_deg", "leave out", "is 0", "tolerance finer",
                                 "sends {count} nowhere", "{count} in no reply", "which there is not",
                                 "names no idle words", "expects nothing", "names words"})
            if (error.problem().find(rule) != std::string::npos) return true;
        return false;
    };
    EXPECT_GT(expectSameValues(loadJson(folder + "dialect.schema.json"), loadJson(folder + "complete.json"),
                               dialect, isRule),
              300);
}

}  // namespace

}  // namespace volvelle
