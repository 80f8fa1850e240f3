#include "Ingest/Manifest.h"
#include "Text/Error.h"

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

/// Any bytes are a manifest or bad input; what is read lies within its ranges.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace volvelle;
    const std::string text(reinterpret_cast<const char*>(data), size);
    Manifest manifest;
    try {
        manifest = parseManifest(text, "input");
    } catch (const Error& error) {
        if (error.kind() != ErrorKind::input || error.advice().empty()) std::abort();
        if (std::string(error.what()).find('\n') != std::string::npos) std::abort();
        return 0;
    }
    if (manifest.rows.empty() || manifest.drives.empty()) std::abort();
    for (const auto& row : manifest.rows) {
        if (row.file.empty() || row.drive.empty() || row.repeat < 1 || row.line < 2) std::abort();
        if (row.orbit && !(row.angleDeg > -180 && row.angleDeg <= 180)) std::abort();
        if (!(std::abs(row.direction.elevationDeg) <= 90)) std::abort();
    }
    return 0;
}
