#include "Text/Number.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <bit>
#include <cmath>
#include <cstdint>
#include <limits>

namespace volvelle {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

std::string messageOf(const std::function<void()>& act) {
    try {
        act();
    } catch (const Error& error) {
        return error.what();
    }
    return "no error";
}

RC_GTEST_PROP(Number, ShortestTextReadsBackToTheSameDouble, (std::uint64_t bits)) {
    const double value = std::bit_cast<double>(bits);
    RC_PRE(std::isfinite(value));
    RC_ASSERT(parseNumber(shortestText(value)) == std::optional(value));
    RC_ASSERT(parseNumber(" +" + shortestText(std::abs(value)) + "\t") == std::optional(std::abs(value)));
}

RC_GTEST_PROP(Number, WholeNumbersReadBack, (std::int64_t value)) {
    RC_ASSERT(parseWholeNumber(std::to_string(value)) == std::optional<long long>(value));
}

RC_GTEST_PROP(Number, FixedTextIsWithinHalfAStepAndNeverMinusZero, ()) {
    const double value = *rc::gen::inRange(-2'000'000, 2'000'001) / 1e5;
    const int decimals = *rc::gen::inRange(0, 7);
    const std::string text = fixedText(value, decimals);
    RC_ASSERT(std::abs(*parseNumber(text) - value) <= 0.5000001 * std::pow(10, -decimals));
    RC_ASSERT(!(text[0] == '-' && *parseNumber(text) == 0));
}

TEST(Number, WholeTextHasToBeTheNumber) {
    for (const char* text :
         {"",    " ",   "+",   "-",     ".",     "e5",    "1e",  "1.5x", "x1.5", "1 2", "1,5", "0x10",
          "+-1", "++1", "--1", "1_000", "1'000", "1.2.3", "- 1", "+ 1",  "1\n",  "\0",  "½"})
        EXPECT_EQ(parseNumber(text), std::nullopt) << '"' << text << '"';
    EXPECT_EQ(parseNumber(std::string_view("1\0", 2)), std::nullopt);
    for (const char* text : {"3.0", "3e0", "", "+-3", "9223372036854775808", "0x1", "3 4"})
        EXPECT_EQ(parseWholeNumber(text), std::nullopt) << text;
}

TEST(Number, BlanksAndSignsAreAllowed) {
    EXPECT_EQ(parseNumber("  1.5\t"), 1.5);
    EXPECT_EQ(parseNumber("+1.5"), 1.5);
    EXPECT_EQ(parseNumber("-1.5E+2"), -150);
    EXPECT_EQ(parseNumber(".5"), 0.5);
    EXPECT_EQ(parseNumber("5."), 5);
    EXPECT_EQ(parseWholeNumber(" +42 "), 42);
}

TEST(Number, NanAndInfinityAreReadOnlyWhenAskedFor) {
    for (const char* text : {"nan", "NaN", "-nan", "inf", "-inf", "infinity", "Infinity", "nan(1)"})
        EXPECT_EQ(parseNumber(text), std::nullopt) << text;
    EXPECT_EQ(parseNumber("-inf", NonFinite::allowed), -infinity);
    EXPECT_TRUE(std::isnan(parseNumber("nan", NonFinite::allowed).value()));
}

TEST(Number, TooLargeIsRefusedAndTooSmallIsZero) {
    EXPECT_EQ(parseNumber("1e999"), std::nullopt);
    EXPECT_EQ(parseNumber("-1e309"), std::nullopt);
    EXPECT_EQ(parseNumber("1e999", NonFinite::allowed), std::nullopt);
    EXPECT_EQ(parseNumber("1" + std::string(400, '0')), std::nullopt);
    EXPECT_EQ(parseNumber("1e99999999999999999999"), std::nullopt);
    EXPECT_EQ(parseNumber("1e-999"), 0.0);
    EXPECT_EQ(parseNumber("-1e-99999999999999999999"), 0.0);
    EXPECT_EQ(parseNumber("0." + std::string(400, '0') + "1"), 0.0);
    EXPECT_EQ(parseNumber("0e999"), 0.0);
    EXPECT_EQ(parseNumber("4.9406564584124654e-324"), std::numeric_limits<double>::denorm_min());
    EXPECT_EQ(parseNumber("1.7976931348623157e308"), std::numeric_limits<double>::max());
}

TEST(Number, RangesKnowTheirEnds) {
    EXPECT_TRUE(Range::between(0, 1).contains(0));
    EXPECT_TRUE(Range::between(0, 1).contains(1));
    EXPECT_FALSE(Range::above(0).contains(0));
    EXPECT_TRUE(Range::above(0).contains(std::numeric_limits<double>::denorm_min()));
    EXPECT_TRUE(Range::aboveTo(0, 1).contains(1));
    EXPECT_FALSE(Range::aboveTo(0, 1).contains(0));
    for (const double value : {nan, infinity, -infinity}) EXPECT_FALSE(Range::any().contains(value));
    EXPECT_EQ(Range::between(0, 1).text(), "from 0 to 1");
    EXPECT_EQ(Range::above(0).text(), "above 0");
    EXPECT_EQ(Range::atLeast(2).text(), "of at least 2");
    EXPECT_EQ(Range::aboveTo(0, 1).text(), "above 0 and of at most 1");
    EXPECT_EQ(Range::any().text(), "of any size");
}

TEST(Number, ErrorsNameFieldTextAndWhatToWrite) {
    const FieldName field{ErrorKind::input, "m.csv, line 3", "angle_deg", "degrees"};
    const auto read = [&](std::string_view text) {
        return messageOf([&] { requireNumber(text, Range::between(-360, 360), field); });
    };
    EXPECT_EQ(read("abc"),
              "m.csv, line 3: angle_deg is 'abc', not a number. Write a number from -360 to 360 degrees");
    EXPECT_EQ(read(" "), "m.csv, line 3: angle_deg is empty. Write a number from -360 to 360 degrees");
    EXPECT_EQ(read("400"),
              "m.csv, line 3: angle_deg is 400, outside its range. Write a number from -360 to 360 degrees");
    EXPECT_EQ(
        read("1,5"),
        "m.csv, line 3: angle_deg is '1,5', not a number. Write a number from -360 to 360 degrees, with a "
        "point as decimal mark");
    EXPECT_EQ(read("nan"),
              "m.csv, line 3: angle_deg is 'nan', not a number. Write a number from -360 to 360 degrees");
    EXPECT_EQ(read("a\nb\x01"),
              "m.csv, line 3: angle_deg is 'a?b?', not a number. Write a number from -360 to 360 degrees");
    EXPECT_EQ(messageOf([&] { requireWholeNumber("0", 1, 9, field); }),
              "m.csv, line 3: angle_deg is 0, outside its range. Write a whole number from 1 to 9 degrees");
    EXPECT_EQ(messageOf([&] { requireInRange(nan, Range::any(), field); }),
              "m.csv, line 3: angle_deg is nan, not a finite number. Write a number of any size degrees");
}

TEST(Number, ErrorsAreOfTheKindAskedFor) {
    try {
        requireNumber("x", Range::any(), {ErrorKind::usage, "--distance-m", "distance"});
        FAIL();
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::usage);
        EXPECT_EQ(error.where(), "--distance-m");
    }
}

TEST(Number, TextsOfKnownNumbers) {
    EXPECT_EQ(shortestText(0.1), "0.1");
    EXPECT_EQ(shortestText(48000), "48000");
    EXPECT_EQ(shortestText(-0.0), "0");
    EXPECT_EQ(shortestText(nan), "nan");
    EXPECT_EQ(shortestText(-nan), "nan");
    EXPECT_EQ(shortestText(infinity), "inf");
    EXPECT_EQ(fixedText(3.14159, 2), "3.14");
    EXPECT_EQ(fixedText(-0.0, 1), "0.0");
    EXPECT_EQ(fixedText(-0.004, 2), "0.00");
    EXPECT_EQ(fixedText(-0.006, 2), "-0.01");
    EXPECT_EQ(fixedText(-0.4, 0), "0");
    EXPECT_EQ(fixedText(-nan, 2), "nan");
    EXPECT_EQ(fixedText(-infinity, 2), "-inf");
    EXPECT_EQ(significantText(1234.567, 5), "1234.6");
    EXPECT_EQ(significantText(-0.0, 5), "0");
    EXPECT_EQ(significantText(2.5, 5), "2.5");
    EXPECT_EQ(fixedCell(nan, 2), "");
    EXPECT_EQ(fixedCell(2, 2), "2.00");
}

}  // namespace
}  // namespace volvelle
