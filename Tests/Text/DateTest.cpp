#include "Text/Date.h"

#include <gtest/gtest.h>

namespace volvelle {
namespace {

TEST(Date, DaysOfTheCalendarOnly) {
    for (const char* day : {"2026-01-31", "2024-02-29", "2000-02-29", "1999-12-31"})
        EXPECT_TRUE(isIsoDate(day)) << day;
    for (const char* day : {"", "2026", "2026-02-29", "1900-02-29", "2026-04-31", "2026-13-01", "2026-00-10",
                            "2026-01-00", "26-01-31", "2026-1-31", "2026/01/31", "31.01.2026", "2026-01-31 ",
                            "2026-01-3x", "2026-01-31T10:00"})
        EXPECT_FALSE(isIsoDate(day)) << day;
}

TEST(Date, TimesWithAndWithoutZone) {
    for (const char* time : {"2026-01-31", "2026-01-31T10:30", "2026-01-31T23:59:59", "2026-01-31T00:00:00Z",
                             "2026-01-31T10:30:00+01:00", "2026-01-31T10:30-05:00", "2026-01-31T10:30Z"})
        EXPECT_TRUE(isIsoDateOrTime(time)) << time;
    for (const char* time :
         {"2026-01-31T", "2026-01-31 10:30", "2026-01-31T24:00", "2026-01-31T10:60", "2026-01-31T10:30:60",
          "2026-01-31T10", "2026-01-31T10:30:00z", "2026-01-31T10:30:00+1", "2026-01-31T10:30:00+01:00:00",
          "2026-02-30T10:30", "2026-01-31T10:30:00Zx", "2026-01-31T10:30:00.5"})
        EXPECT_FALSE(isIsoDateOrTime(time)) << time;
}

TEST(Date, SecondsSince1970OfTimesInUtcOnly) {
    EXPECT_EQ(utcSeconds("1970-01-01T00:00:00Z"), 0.0);
    EXPECT_EQ(utcSeconds("1970-01-02T01:02:03.5Z"), 86400 + 3723.5);
    EXPECT_EQ(utcSeconds("1969-12-31T23:59:59Z"), -1.0);
    EXPECT_EQ(utcSeconds("2001-09-09T01:46:40Z"), 1e9);  // the well-known second 10⁹
    EXPECT_NEAR(utcSeconds("2026-03-14T09:30:00.125Z").value() - utcSeconds("2026-03-14T09:29:59.000Z").value(),
                1.125, 1e-6);
    for (const char* other :
         {"", "Z", "2026-01-31", "2026-01-31T10:30Z", "2026-01-31T10:30:00", "2026-01-31T10:30:00+01:00",
          "2026-02-30T10:30:00Z", "2026-01-31T10:30:60Z", "2026-01-31T10:30:00.Z", "2026-01-31T10:30:00.5",
          "2026-01-31T10:30:00.1234567890Z", "2026-01-31T10:30:00.-1Z", "2026-01-31 10:30:00Z"})
        EXPECT_FALSE(utcSeconds(other)) << other;
}

}  // namespace
}  // namespace volvelle
