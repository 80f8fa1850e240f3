#pragma once

#include "Text/TextFile.h"
#include "turntable/Dialect.h"
#include "turntable/PlayedTable.h"

#include <string>

namespace volvelle {

/// A dialect that comes with the program.
inline Dialect shippedDialect(PlayedTable::Tongue tongue) {
    const std::string path = std::string(VOLVELLE_DATASETS "/dialects/") +
                             (tongue == PlayedTable::Tongue::plain ? "plain.json" : "rs274-rotary.json");
    return parseDialect(readTextFile(path), path);
}

}  // namespace volvelle
