#pragma once

#include <string>
#include <vector>

namespace volvelle {

/// UTF-8 that can be drawn and put into XML: control characters and broken bytes become U+FFFD.
std::string drawable(const std::string& text);

/// Numbers as a figure prints them: with a true minus sign.
std::string printed(double value, int decimals);
/// Three significant digits: "83.2 Hz", "1.6 kHz", "12.5 kHz". "not known" for what is not a number.
std::string hertz(double frequencyHz);
/// The same, but centres of third-octave bands (IEC 61260-1, base ten) by their nominal names: "500 Hz" for
/// 501.19 Hz, and for what is as near to that or to 500 Hz as 1 in 400.
std::string bandName(double frequencyHz);
/// "−1.2 ms"; three significant digits, at most two decimals.
std::string milliseconds(double seconds);
/// An angle with its sign: "+30°", "−90°", "0°", "180°".
std::string signedDegrees(double angleDeg);

}  // namespace volvelle
