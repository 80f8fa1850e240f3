#include "Ingest/Recording.h"
#include "Text/Error.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <memory>
#include <span>
#include <vector>

namespace {

using namespace volvelle;

class InputFile final : public OpenFile {
public:
    explicit InputFile(std::span<const std::uint8_t> bytes) : bytes_(bytes) {}
    std::uint64_t size() const override { return bytes_.size(); }
    void readAt(std::uint64_t offset, std::span<std::byte> out) const override {
        if (offset > bytes_.size() || out.size() > bytes_.size() - offset)
            throw Error(ErrorKind::input, "ends before all was read", "input", "Restore it");
        const auto from = std::as_bytes(bytes_).subspan(offset, out.size());
        std::copy(from.begin(), from.end(), out.begin());
    }
    void writeAt(std::uint64_t, std::span<const std::byte>) override { std::abort(); }
    void sync() override { std::abort(); }
    void willRead(std::uint64_t, std::uint64_t) const override {}

private:
    std::span<const std::uint8_t> bytes_;
};

void decode(std::span<const std::uint8_t> bytes) {
    RecordingReader reader(std::make_unique<InputFile>(bytes), "input");
    const RecordingFormat& format = reader.format();
    if (format.sampleRateHz < 44100 || format.sampleRateHz > 192000 || format.channels < 1) std::abort();
    const std::vector<int> channels{1};
    std::vector<float> samples(format.frames);
    reader.read(channels, std::span(samples));
    if (!std::all_of(samples.begin(), samples.end(), [](float x) { return std::isfinite(x); })) std::abort();
}

}  // namespace

/// Any bytes are a recording, all of whose samples are finite, or bad input.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    try {
        decode({data, size});
    } catch (const Error& error) {
        if (error.kind() != ErrorKind::input || error.advice().empty()) std::abort();
    }
    return 0;
}
