#include "Ingest/ResponseText.h"
#include "Text/Error.h"

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

namespace {

using namespace volvelle;

void checkResponse(const ResponseText& r) {
    const std::size_t rows = r.frequencyHz.size();
    if (rows < 2 || r.levelDb.size() != rows || r.line.size() != rows) std::abort();
    if (!r.phaseDeg.empty() && r.phaseDeg.size() != rows) std::abort();
    for (std::size_t i = 0; i < rows; ++i) {
        if (!(r.frequencyHz[i] > (i == 0 ? 0 : r.frequencyHz[i - 1])) || !std::isfinite(r.levelDb[i]))
            std::abort();
        if (!r.phaseDeg.empty() && !std::isfinite(r.phaseDeg[i])) std::abort();
    }
}

template <typename Read>
void isReadOrRefused(const Read& read) {
    try {
        read();
    } catch (const Error& error) {
        if (error.kind() != ErrorKind::input || error.advice().empty()) std::abort();
        if (std::string(error.what()).find('\n') != std::string::npos) std::abort();
    }
}

}  // namespace

/// Any bytes are a response or bad input, as a per-angle response and as a microphone's.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string text(reinterpret_cast<const char*>(data), size);
    isReadOrRefused([&] { checkResponse(parseResponseText(text, "input")); });
    isReadOrRefused([&] {
        const MicrophoneResponse m = parseMicrophoneResponse(text, "input");
        checkResponse({m.frequencyHz, m.levelDb, m.phaseDeg, std::vector<std::size_t>(m.frequencyHz.size())});
    });
    return 0;
}
