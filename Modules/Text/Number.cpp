#include "Text/Number.h"

#include "Text/InQuotes.h"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

namespace volvelle {
namespace {

std::string_view trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(" \t");
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

/// Without blanks and a leading plus; empty where a second sign follows.
std::string_view withoutPlus(std::string_view text) {
    text = trimmed(text);
    if (!text.starts_with('+')) return text;
    text.remove_prefix(1);
    return text.starts_with('-') || text.starts_with('+') ? std::string_view{} : text;
}

/// Whether a well-formed decimal number that no double can hold is below one (too small) rather than above
/// (too large).
bool isSmall(std::string_view text) {
    if (text.starts_with('-')) text.remove_prefix(1);
    const auto mark = text.find_first_of("eE");
    const std::string_view digits = text.substr(0, mark);
    long long exponent = 0;
    if (mark != std::string_view::npos) {
        std::string_view power = text.substr(mark + 1);
        if (power.starts_with('+')) power.remove_prefix(1);
        const auto [end, fault] = std::from_chars(power.data(), power.data() + power.size(), exponent);
        if (fault != std::errc{}) return power.starts_with('-');
    }
    const auto point = static_cast<long long>(std::min(digits.find('.'), digits.size()));
    const auto first = static_cast<long long>(std::min(digits.find_first_not_of("0."), digits.size()));
    return point - first + exponent < 0;
}

bool writesInfinityOrNan(std::string_view text) {
    return text.find_first_of("iInN") != std::string_view::npos;
}

/// A limit as one says it: 1000000 rather than 1e+06.
std::string limitText(double value) {
    const double size = std::abs(value);
    return size >= 1e4 && size <= 1e9 && value == std::round(value) ? fmt::format("{:.0f}", value)
                                                                    : shortestText(value);
}

std::string expected(const Range& range, const FieldName& field, std::string_view noun) {
    const std::string unit = field.unit.empty() ? "" : " " + field.unit;
    return fmt::format("Write a {} {}{}", noun, range.text(), unit);
}

std::string notANumber(std::string_view text, const FieldName& field, std::string_view noun) {
    if (trimmed(text).empty()) return field.field + " is empty";
    return fmt::format("{} is {}, not a {}", field.field, inQuotes(text), noun);
}

}  // namespace

std::optional<double> parseNumber(std::string_view text, NonFinite nonFinite) {
    text = withoutPlus(text);
    if (text.empty()) return std::nullopt;
    double value = 0;
    const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (end != text.data() + text.size() || fault == std::errc::invalid_argument) return std::nullopt;
    if (writesInfinityOrNan(text))
        return nonFinite == NonFinite::allowed ? std::optional(value) : std::nullopt;
    if (fault == std::errc::result_out_of_range || !std::isfinite(value))
        return isSmall(text) ? std::optional(0.0) : std::nullopt;
    return value;
}

std::optional<long long> parseWholeNumber(std::string_view text) {
    text = withoutPlus(text);
    long long value = 0;
    const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (text.empty() || fault != std::errc{} || end != text.data() + text.size()) return std::nullopt;
    return value;
}

bool Range::contains(double value) const {
    if (!std::isfinite(value)) return false;
    return (lowIncluded ? value >= low : value > low) && (highIncluded ? value <= high : value < high);
}

std::string Range::text() const {
    const bool hasLow = std::isfinite(low), hasHigh = std::isfinite(high);
    if (hasLow && hasHigh && lowIncluded && highIncluded)
        return fmt::format("from {} to {}", limitText(low), limitText(high));
    std::string lowText, highText;
    if (hasLow) lowText = (lowIncluded ? "of at least " : "above ") + limitText(low);
    if (hasHigh) highText = (highIncluded ? "of at most " : "below ") + limitText(high);
    if (hasLow && hasHigh) return lowText + " and " + highText;
    return hasLow ? lowText : hasHigh ? highText : "of any size";
}

double requireNumber(std::string_view text, const Range& range, const FieldName& field) {
    const auto value = parseNumber(text);
    if (!value) {
        std::string advice = expected(range, field, "number");
        if (text.find(',') != std::string_view::npos) advice += ", with a point as decimal mark";
        throw Error(field.kind, notANumber(text, field, "number"), field.where, advice);
    }
    requireInRange(*value, range, field);
    return *value;
}

int requireWholeNumber(std::string_view text, int low, int high, const FieldName& field) {
    const Range range = Range::between(low, high);
    const auto value = parseWholeNumber(text);
    if (!value)
        throw Error(field.kind, notANumber(text, field, "whole number"), field.where,
                    expected(range, field, "whole number"));
    if (*value < low || *value > high)
        throw Error(field.kind, fmt::format("{} is {}, outside its range", field.field, *value), field.where,
                    expected(range, field, "whole number"));
    return static_cast<int>(*value);
}

void requireInRange(double value, const Range& range, const FieldName& field) {
    if (range.contains(value)) return;
    const char* fault = std::isfinite(value) ? "outside its range" : "not a finite number";
    throw Error(field.kind, fmt::format("{} is {}, {}", field.field, shortestText(value), fault), field.where,
                expected(range, field, "number"));
}

std::string shortestText(double value) {
    if (std::isnan(value)) return "nan";
    if (value == 0) return "0";
    char buffer[64];
    const auto end = std::to_chars(buffer, buffer + sizeof buffer, value).ptr;
    return {buffer, end};
}

std::string fixedText(double value, int decimals) {
    if (std::isnan(value)) return "nan";
    std::string text = fmt::format("{:.{}f}", value, decimals);
    if (text.starts_with('-') && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
    return text;
}

std::string significantText(double value, int digits) {
    if (std::isnan(value)) return "nan";
    return value == 0 ? "0" : fmt::format("{:.{}g}", value, digits);
}

std::string fixedCell(double value, int decimals) {
    return std::isnan(value) ? std::string() : fixedText(value, decimals);
}

}  // namespace volvelle
