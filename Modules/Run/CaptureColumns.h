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

/// What is known of one capture as one row, so that a small file is read fast: datasets 'number' and 'text' with
/// the values, 'number_name', 'number_units' and 'text_name' with what they are; the names are those of the
/// columns. Values per octave are datasets as above, left out where none is stated.
void writeCaptureRow(const Hdf5Group& group, const Capture& capture);

/// Reads it back. Throws Error{damaged}.
Capture readCaptureRow(const Hdf5Group& group, const std::string& where);

/// Reads the columns back. What version 1 of the format did not have yet is not stated where it is not there.
/// A row in which no octave is stated becomes an empty vector. Throws Error{damaged} for
/// columns of unequal length and unknown words.
std::vector<Capture> readCaptureColumns(const Hdf5Group& drive, const std::string& where);

}  // namespace volvelle
