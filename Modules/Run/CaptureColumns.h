#pragma once

#include "Run/Capture.h"
#include "Run/Hdf5.h"

#include <span>
#include <vector>

namespace volvelle {

/// Writes what is known of captures as columns into a drive's group: one dataset each, attached to the scale
/// 'id'; those with one value per octave band also to the scale `bands` of the root. Vectors of quality hold
/// one value for each judged octave or none, else Error{bug}.
void writeCaptureColumns(const Hdf5Group& drive, std::span<const Capture> captures, const Hdf5Group& root,
                         const std::string& bands);

/// Reads them back. A row in which no octave is stated becomes an empty vector. Throws Error{damaged} for
/// columns of unequal length and unknown words.
std::vector<Capture> readCaptureColumns(const Hdf5Group& drive, const std::string& where);

}  // namespace volvelle
