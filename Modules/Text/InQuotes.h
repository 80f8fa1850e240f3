#pragma once

#include <string>
#include <string_view>

namespace volvelle {

/// Text from outside as it may stand in a one-line message: in single quotes, control characters as '?', cut
/// after 60 bytes (never inside a UTF-8 character).
std::string inQuotes(std::string_view text);

}  // namespace volvelle
