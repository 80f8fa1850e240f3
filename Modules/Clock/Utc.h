#pragma once

#include <cstdint>
#include <string>

namespace volvelle {

/// Milliseconds since 1970-01-01T00:00Z (any in the years 0 ... 9999) as "2026-03-14T09:30:00.125Z".
std::string utcText(std::int64_t milliseconds);

}  // namespace volvelle
