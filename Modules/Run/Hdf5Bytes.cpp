#include "Run/Hdf5Bytes.h"

#include <algorithm>
#include <iterator>
#include <utility>

namespace volvelle {

bool ScatteredBytes::read(std::uint64_t at, std::span<std::byte> out, Wanted) const {
    while (!out.empty()) {
        const std::uint64_t within = at % pageLength;
        const std::size_t count = std::min<std::uint64_t>(out.size(), pageLength - within);
        const auto page = pages_.find(at / pageLength);
        if (page == pages_.end())
            std::fill_n(out.begin(), count, std::byte{0});
        else
            std::copy_n(page->second.begin() + static_cast<std::ptrdiff_t>(within), count, out.begin());
        out = out.subspan(count);
        at += count;
    }
    return true;
}

bool ScatteredBytes::write(std::uint64_t at, std::span<const std::byte> data) {
    while (!data.empty()) {
        const std::uint64_t within = at % pageLength;
        const std::size_t count = std::min<std::uint64_t>(data.size(), pageLength - within);
        auto& page = pages_[at / pageLength];
        page.resize(pageLength);
        std::copy_n(data.begin(), count, page.begin() + static_cast<std::ptrdiff_t>(within));
        data = data.subspan(count);
        at += count;
    }
    return true;
}

CheckedBytes::CheckedBytes(std::uint64_t userBlock, std::uint64_t fileLength) : userBlock_(userBlock) {
    length = fileLength;
}

void CheckedBytes::add(std::uint64_t offset, std::vector<std::byte> bytes) {
    stretches_[offset] = std::move(bytes);
}

bool CheckedBytes::read(std::uint64_t at, std::span<std::byte> out, Wanted wanted) const {
    if (at < userBlock_ && out.size() <= userBlock_ - at) {
        std::fill(out.begin(), out.end(), std::byte{0});
        return true;
    }
    const auto after = stretches_.upper_bound(at);
    if (after == stretches_.begin()) return false;
    const auto& [offset, bytes] = *std::prev(after);
    const std::uint64_t within = at - offset;
    if (within >= bytes.size()) return false;
    const std::size_t there = std::min<std::uint64_t>(out.size(), bytes.size() - within);
    if (there < out.size() && wanted == Wanted::exactly) return false;
    std::copy_n(bytes.begin() + static_cast<std::ptrdiff_t>(within), there, out.begin());
    std::fill(out.begin() + static_cast<std::ptrdiff_t>(there), out.end(), std::byte{0});
    return true;
}

}  // namespace volvelle
