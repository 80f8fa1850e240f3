// Any bytes as a run file: either they are refused with an input or damage error, or they are whole. What
// opens also verifies.
#include "Run/MemoryFiles.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <span>
#include <vector>

namespace {

using namespace volvelle;

bool isExpected(const Error& error) {
    return error.kind() == ErrorKind::input || error.kind() == ErrorKind::damaged;
}

bool opens(Files& files) {
    try {
        const SealedRun run("run.h5", files);
        for (std::size_t d = 0; d < run.record().drives.size(); ++d) {
            const DriveRecord& drive = run.record().drives[d];
            const bool isText = drive.form == CaptureForm::textResponse;
            std::vector<float> samples(drive.samplesPerChannel * (isText ? 2 : drive.channelRoles.size()));
            for (std::size_t c = 0; c < drive.captures.size(); ++c) run.readCapture(d, c, samples);
        }
        return true;
    } catch (const Error& error) {
        if (!isExpected(error)) throw;
        return false;
    }
}

bool verifies(Files& files) {
    try {
        const auto pieces = verifyRun("run.h5", files);
        return std::all_of(pieces.begin(), pieces.end(),
                           [](const PieceReport& piece) { return piece.intact; });
    } catch (const Error& error) {
        if (!isExpected(error)) throw;
        return false;
    }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const auto bytes = std::as_bytes(std::span(data, size));
    MemoryFiles files;
    files.put("run.h5", std::vector<std::byte>(bytes.begin(), bytes.end()));
    // What verifies opens, but not the other way: tables of time are read by `verify` alone.
    if (verifies(files) && !opens(files)) std::abort();
    opens(files);
    return 0;
}
