#include "Text/Date.h"

#include <chrono>
#include <optional>

namespace volvelle {
namespace {

/// Digits only, of exactly this many.
std::optional<int> digits(std::string_view text, std::size_t at, std::size_t count) {
    if (at + count > text.size()) return std::nullopt;
    int value = 0;
    for (const char c : text.substr(at, count)) {
        if (c < '0' || c > '9') return std::nullopt;
        value = 10 * value + (c - '0');
    }
    return value;
}

/// "10:30" or "23:59:59".
bool isTimeOfDay(std::string_view text) {
    const auto hour = digits(text, 0, 2), minute = digits(text, 3, 2);
    if (!hour || !minute || text[2] != ':' || *hour > 23 || *minute > 59) return false;
    if (text.size() == 5) return true;
    const auto second = digits(text, 6, 2);
    return text.size() == 8 && text[5] == ':' && second && *second <= 59;
}

}  // namespace

bool isIsoDate(std::string_view text) {
    const auto year = digits(text, 0, 4), month = digits(text, 5, 2), day = digits(text, 8, 2);
    if (text.size() != 10 || text[4] != '-' || text[7] != '-' || !year || !month || !day) return false;
    const auto count = [](int number) { return static_cast<unsigned>(number); };
    return (std::chrono::year(*year) / std::chrono::month(count(*month)) / std::chrono::day(count(*day)))
        .ok();
}

bool isIsoDateOrTime(std::string_view text) {
    if (!isIsoDate(text.substr(0, 10))) return false;
    if (text.size() == 10) return true;
    if (text[10] != 'T') return false;
    text.remove_prefix(11);
    const auto zone = text.find_first_of("Z+-");
    if (zone == std::string_view::npos) return isTimeOfDay(text);
    const std::string_view offset = text.substr(zone);
    return isTimeOfDay(text.substr(0, zone)) &&
           (offset == "Z" || (offset.size() == 6 && isTimeOfDay(offset.substr(1))));
}

std::optional<double> utcSeconds(std::string_view text) {
    constexpr std::size_t wholeSeconds = 19;  // characters
    if (text.size() <= wholeSeconds || text.back() != 'Z') return std::nullopt;
    const std::string_view whole = text.substr(0, wholeSeconds);
    std::string_view decimals = text.substr(wholeSeconds, text.size() - wholeSeconds - 1);
    if (!isIsoDate(whole.substr(0, 10)) || whole[10] != 'T' || !isTimeOfDay(whole.substr(11)))
        return std::nullopt;
    double part = 0;
    if (!decimals.empty()) {
        if (decimals.front() != '.' || decimals.size() < 2 || decimals.size() > 10) return std::nullopt;
        decimals.remove_prefix(1);
        const auto number = digits(decimals, 0, decimals.size());
        if (!number) return std::nullopt;
        part = *number;
        for (std::size_t i = 0; i < decimals.size(); ++i) part /= 10;
    }
    const std::chrono::sys_days day =
        std::chrono::year(*digits(whole, 0, 4)) /
        std::chrono::month(static_cast<unsigned>(*digits(whole, 5, 2))) /
        std::chrono::day(static_cast<unsigned>(*digits(whole, 8, 2)));
    const int seconds =
        3600 * *digits(whole, 11, 2) + 60 * *digits(whole, 14, 2) + *digits(whole, 17, 2);
    return 86400.0 * static_cast<double>(day.time_since_epoch().count()) + seconds + part;
}

}  // namespace volvelle
