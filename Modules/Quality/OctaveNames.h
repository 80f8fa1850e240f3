#pragma once

#include <cstddef>
#include <span>
#include <string>

namespace volvelle {

/// Nominal mid-band frequency in Hz of a judged octave (IEC 61260-1:2014): 125 for the exact 125.89 Hz.
double nominalOctaveHz(std::size_t octave);

/// "125 Hz", "4 kHz".
std::string octaveName(std::size_t octave);

/// Several, in growing order, neighbours together: "63 to 500 Hz and 4 kHz".
std::string octaveNames(std::span<const std::size_t> octaves);

}  // namespace volvelle
