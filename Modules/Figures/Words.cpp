#include "Figures/Words.h"

#include "Text/Number.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

namespace volvelle {

namespace {

constexpr const char* replacement = "\xEF\xBF\xBD";

/// Length of the well-formed UTF-8 sequence at `at`, or 0.
std::size_t sequenceLength(const std::string& text, std::size_t at) {
    const auto byte = [&](std::size_t i) {
        return static_cast<unsigned>(static_cast<unsigned char>(text[i]));
    };
    const unsigned first = byte(at);
    if (first < 0x80) return first >= 0x20 && first != 0x7F ? 1 : 0;
    const std::size_t length = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
    if (first < 0xC2 || first > 0xF4 || at + length > text.size()) return 0;
    unsigned code = first & (0x7Fu >> length);
    for (std::size_t i = 1; i < length; ++i) {
        if ((byte(at + i) & 0xC0u) != 0x80u) return 0;
        code = code << 6u | (byte(at + i) & 0x3Fu);
    }
    const bool tooLong = (length == 3 && code < 0x800) || (length == 4 && code < 0x10000);
    const bool forbidden = (code >= 0xD800 && code <= 0xDFFF) || code > 0x10FFFF ||
                           (code >= 0x80 && code < 0xA0) || code == 0xFFFE || code == 0xFFFF;
    return tooLong || forbidden ? 0 : length;
}

std::string withMinus(std::string number) {
    if (!number.empty() && number.front() == '-') number.replace(0, 1, "\xE2\x88\x92");
    return number;
}

}  // namespace

std::string drawable(const std::string& text) {
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t length = sequenceLength(text, at);
        if (length == 0) {
            out += replacement;
            ++at;
        } else {
            out.append(text, at, length);
            at += length;
        }
    }
    return out;
}

std::string printed(double value, int decimals) {
    return withMinus(fixedText(value, decimals));
}

std::string hertz(double frequencyHz) {
    if (!std::isfinite(frequencyHz)) return "not known";
    const bool kilo = frequencyHz >= 999.5;
    return withMinus(significantText(kilo ? frequencyHz / 1000 : frequencyHz, 3)) + (kilo ? " kHz" : " Hz");
}

std::string bandName(double frequencyHz) {
    static constexpr std::array<double, 10> nominal{1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8};  // ISO 266
    constexpr double slack = 1.0 / 400;
    if (!(frequencyHz > 0) || !std::isfinite(frequencyHz)) return hertz(frequencyHz);
    const long band = std::lround(10 * std::log10(frequencyHz));
    const double exact = std::pow(10.0, static_cast<double>(band) / 10);
    const long digit = (band % 10 + 10) % 10;
    const double named =
        nominal[static_cast<std::size_t>(digit)] * std::pow(10.0, static_cast<double>(band - digit) / 10);
    const bool near = std::min(std::abs(frequencyHz / exact - 1), std::abs(frequencyHz / named - 1)) <= slack;
    return hertz(near ? named : frequencyHz);
}

std::string milliseconds(double seconds) {
    if (!std::isfinite(seconds)) return "not known";
    const double ms = seconds * 1000;
    return withMinus(significantText(ms, std::abs(ms) >= 100 ? 4 : 3)) + " ms";
}

std::string signedDegrees(double angleDeg) {
    const bool plus = angleDeg > 0 && angleDeg < 180;
    return (plus ? "+" : "") + withMinus(significantText(angleDeg, 5)) + "\xC2\xB0";
}

}  // namespace volvelle
