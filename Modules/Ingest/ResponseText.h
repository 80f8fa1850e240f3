#pragma once

#include "Run/RunRecord.h"

#include <string>
#include <string_view>
#include <vector>

namespace volvelle {

/// One response that exists only as text.
struct ResponseText {
    std::vector<double> frequencyHz;  ///< growing, above 0
    std::vector<double> levelDb;      ///< re 20 µPa at the measuring distance
    std::vector<double> phaseDeg;     ///< empty where the file has no phase
    std::vector<std::size_t> line;    ///< of each row, the first line of the file is 1
};

/// Reads rows of frequency in Hz, level in dB and (optional) phase in degrees, separated by comma, semicolon,
/// tab or blanks. Lines that begin with # * ; // or a quote are comments; one heading line that begins with a
/// letter may stand before the first row. Decimal point only. At least two rows. Throws Error{input} naming
/// the line for decimal commas, wrong or non-finite numbers, 1 or more than 3 columns, columns that change,
/// and frequencies that do not grow.
ResponseText parseResponseText(std::string_view text, const std::string& source);

/// Throws Error{input} naming file and line where `other` is not on the frequencies of `first`.
void requireSameGrid(const std::vector<double>& first, const std::string& firstName,
                     const ResponseText& other, const std::string& otherName);

/// Reads a microphone's response: CSV with the columns frequency_hz, level_db (what it shows too much,
/// relative) and perhaps phase_deg; # comment lines; growing frequencies above 0; at least two rows. Throws
/// Error{input} naming line and column.
MicrophoneResponse parseMicrophoneResponse(std::string_view text, const std::string& source);

}  // namespace volvelle
