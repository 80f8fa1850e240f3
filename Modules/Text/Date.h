#pragma once

#include <optional>
#include <string_view>

namespace volvelle {

/// A day of the calendar as ISO 8601 writes it: "2026-01-31".
bool isIsoDate(std::string_view text);

/// A day, or a day with its time: "2026-01-31T10:30", "2026-01-31T10:30:00Z", "2026-01-31T10:30:00+01:00".
bool isIsoDateOrTime(std::string_view text);

/// Seconds since 1970-01-01T00:00Z (leap seconds not counted) of a time in UTC, with or without decimals of a
/// second: "2026-03-14T09:30:00Z", "2026-03-14T09:30:00.125Z". Nothing for any other text.
std::optional<double> utcSeconds(std::string_view text);

}  // namespace volvelle
