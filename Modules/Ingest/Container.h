#pragma once

#include "Run/Files.h"

#include <string>

namespace volvelle {

/// Looks at the first bytes of a sound file and holds what its header promises against the file's size,
/// because a decoder quietly reads what is there. Returns what it is: "WAV", "RF64", "FLAC", "AIFF", "W64",
/// "CAF" or "AU". Throws Error{input} at `where` for an empty file, for anything else than these, for one
/// that is cut, and for one whose recorder never wrote its length. (Whether a FLAC file is whole shows only
/// when it is decoded.) Sources: RIFF/WAVE (IBM & Microsoft, Multimedia Programming Interface 1.0, 1991),
/// RF64 (EBU Tech 3306), AIFF 1.3 (1989), CAF 1.0; W64 and AU as common practice has them.
std::string requireWholeContainer(const OpenFile& file, const std::string& where);

}  // namespace volvelle
