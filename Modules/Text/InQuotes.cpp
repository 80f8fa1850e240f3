#include "Text/InQuotes.h"

namespace volvelle {

std::string inQuotes(std::string_view text) {
    constexpr std::size_t longest = 60;
    std::size_t end = text.size();
    if (end > longest) {
        end = longest;
        while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0U) == 0x80U) --end;
    }
    std::string out = "'";
    for (const char c : text.substr(0, end)) {
        const auto byte = static_cast<unsigned char>(c);
        out += byte < 0x20 || byte == 0x7F ? '?' : c;
    }
    if (end < text.size()) out += "...";
    return out + "'";
}

}  // namespace volvelle
