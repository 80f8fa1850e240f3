#include "Clock/Utc.h"

#include <fmt/format.h>

#include <chrono>

namespace volvelle {

std::string utcText(std::int64_t milliseconds) {
    using namespace std::chrono;
    const sys_time<std::chrono::milliseconds> time{std::chrono::milliseconds{milliseconds}};
    const auto day = floor<days>(time);
    const year_month_day date{day};
    const hh_mm_ss clock{time - day};
    return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}Z", int{date.year()}, unsigned{date.month()},
                       unsigned{date.day()}, clock.hours().count(), clock.minutes().count(),
                       clock.seconds().count(), clock.subseconds().count());
}

}  // namespace volvelle
