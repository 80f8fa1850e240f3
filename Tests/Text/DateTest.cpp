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

}  // namespace
}  // namespace volvelle
