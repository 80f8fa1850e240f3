#pragma once

#include "Families/Family.h"
#include "Text/Csv.h"

#include <string>

namespace volvelle {

/// Where the numbers of a table come from. Empty: not stated.
struct TableOrigin {
    std::string programVersion, runPath, runFingerprint, unitModel, unitSerial, drive;
};

/// "not stated" for an empty text.
std::string statedOr(const std::string& text);

/// `#` lines: program version, run (its name without folders), fingerprint, unit, drive.
void commentOrigin(CsvWriter& csv, const TableOrigin& origin);

/// `#` lines: where the numbers hold and what bounds that, and the noise where it is known.
void commentValidity(CsvWriter& csv, const Validity& validity);

}  // namespace volvelle
