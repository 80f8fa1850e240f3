#include "turntable/LineTalk.h"
#include "turntable/ReplyPattern.h"

#include <gtest/gtest.h>

#include <string>

namespace volvelle {

namespace {

TEST(ReplyPattern, FieldsAreTakenFromWhatStandsThere) {
    const auto fields = ReplyPattern("{id} AT {count} {state}").match("17 AT -4.250 NOT_HOMED");
    ASSERT_TRUE(fields);
    EXPECT_EQ(fields->id, 17);
    EXPECT_EQ(fields->count, -4.25);
    EXPECT_EQ(fields->countDecimals, 3);
    EXPECT_EQ(fields->state, "NOT_HOMED");
}

TEST(ReplyPattern, TheWholeLineHasToMatch) {
    const ReplyPattern pattern("{*}A:{count}{*}");
    EXPECT_EQ(pattern.match("X:0.00 A:12.5 Count X:0")->count, 12.5);
    EXPECT_EQ(pattern.match("A:-1")->count, -1);
    EXPECT_EQ(pattern.match("A:x A:2")->count, 2);  // the first that can be
    for (const char* line : {"A:", "A:-", "A 1", "", "a:1", "A:."}) EXPECT_FALSE(pattern.match(line)) << line;
    EXPECT_FALSE(ReplyPattern("ok").match("ok "));
    EXPECT_FALSE(ReplyPattern("ok").match("okok"));
    EXPECT_TRUE(ReplyPattern("{*}ok").match("okok"));
    EXPECT_TRUE(ReplyPattern("{*}").match(""));
}

TEST(ReplyPattern, ALongLineOfManyBeginningsTakesNoTime) {
    EXPECT_FALSE(ReplyPattern("{*}a{*}a{*}a{*}b").match(std::string(4000, 'a')));
}

/// The exclusive or of "17 AT" worked out by hand: 31^37^20^41^54 (hexadecimal) = 33.
TEST(LineForm, TheCheckIsTheExclusiveOrOfTheBytes) {
    LineForm form;
    form.hasCheck = true;
    EXPECT_EQ(framedLine("17 AT", form), "17 AT*33\n");
    EXPECT_EQ(bodyOf("17 AT*33\r", form), "17 AT");
    for (const char* line : {"17 AT*34", "17 AT", "17 BT*33", "*", "", "17 AT*3", "17 AT *33"})
        EXPECT_FALSE(bodyOf(line, form)) << line;
    EXPECT_FALSE(bodyOf("ok\x01", LineForm{}));
    EXPECT_FALSE(bodyOf("ok\xc3", LineForm{}));
}

}  // namespace

}  // namespace volvelle
