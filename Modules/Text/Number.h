#pragma once

#include "Text/Error.h"

#include <limits>
#include <optional>
#include <string>
#include <string_view>

namespace volvelle {

// The only place where numbers become text and text becomes numbers. Everything here uses a point as decimal
// mark, whatever the locale of the process. All functions are thread-safe.

enum class NonFinite { refused, allowed };

/// The number that `text` consists of, whole: optional blanks around it, optional sign ("+1" too), digits,
/// point, exponent. Nothing for anything else, for numbers too large for a double, and (unless allowed) for
/// nan and infinity. Numbers too small for a double are zero.
std::optional<double> parseNumber(std::string_view text, NonFinite nonFinite = NonFinite::refused);

/// The same for whole numbers ("3"; not "3.0").
std::optional<long long> parseWholeNumber(std::string_view text);

/// The values that a number may take.
struct Range {
    double low = -std::numeric_limits<double>::infinity();
    double high = std::numeric_limits<double>::infinity();
    bool lowIncluded = true;
    bool highIncluded = true;

    static constexpr Range any() { return {}; }
    static constexpr Range between(double low, double high) { return {low, high, true, true}; }
    static constexpr Range atLeast(double low) {
        return between(low, std::numeric_limits<double>::infinity());
    }
    static constexpr Range above(double low) {
        return {low, std::numeric_limits<double>::infinity(), false, true};
    }
    static constexpr Range aboveTo(double low, double high) {
        return {low, high, false, true};
    }  ///< low < x <= high

    bool contains(double value) const;  ///< false for not-a-number and infinities
    std::string text() const;           ///< "from 0 to 100", "above 0", "of any size"
};

/// What a number is, for messages.
struct FieldName {
    ErrorKind kind = ErrorKind::input;  ///< usage for options of the command
    std::string where;                  ///< "manifest.csv, line 3"; for options the option itself
    std::string field;                  ///< "angle_deg"
    std::string unit = {};              ///< "degrees"; may be empty
};

/// parseNumber with its range; throws Error{field.kind} that names field, text, and what is expected.
double requireNumber(std::string_view text, const Range& range, const FieldName& field);
int requireWholeNumber(std::string_view text, int low, int high, const FieldName& field);

/// Throws the same Error for a number that is outside its range or not finite.
void requireInRange(double value, const Range& range, const FieldName& field);

/// The shortest text that reads back to the same double: "0.1", "48000", "1e-09". Zero is never "-0". "nan",
/// "inf", "-inf".
std::string shortestText(double value);

/// Fixed decimals: fixedText(3.14159, 2) is "3.14". What rounds to zero has no sign. "nan", "inf", "-inf".
std::string fixedText(double value, int decimals);

/// At most this many significant digits, no trailing zeros: significantText(1234.567, 5) is "1234.6".
std::string significantText(double value, int digits);

/// fixedText, but nothing for what is not a number: a cell of a table.
std::string fixedCell(double value, int decimals);

}  // namespace volvelle
