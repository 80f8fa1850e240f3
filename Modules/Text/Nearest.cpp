#include "Text/Nearest.h"

#include "Text/InQuotes.h"

#include <fmt/format.h>

#include <algorithm>

namespace volvelle {
namespace {

char lowered(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

}  // namespace

std::size_t editDistance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> beforeLast(b.size() + 1), last(b.size() + 1), row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        beforeLast.swap(last);
        last.swap(row);
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const char x = lowered(a[i - 1]), y = lowered(b[j - 1]);
            row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + (x == y ? 0U : 1U)});
            if (i > 1 && j > 1 && x == lowered(b[j - 2]) && y == lowered(a[i - 2]))
                row[j] = std::min(row[j], beforeLast[j - 2] + 1);
        }
    }
    return row[b.size()];
}

std::optional<std::string> nearestName(std::string_view name, std::span<const std::string> candidates) {
    if (name.empty() || name.size() > 200) return std::nullopt;
    const std::string* nearest = nullptr;
    std::size_t distance = 0;
    for (const auto& candidate : candidates) {
        const std::size_t edits = editDistance(name, candidate);
        const std::size_t allowed = std::max<std::size_t>(1, std::max(name.size(), candidate.size()) / 3);
        if (edits <= allowed && (nearest == nullptr || edits < distance)) {
            nearest = &candidate;
            distance = edits;
        }
    }
    return nearest == nullptr ? std::nullopt : std::optional(*nearest);
}

std::string suggestion(std::string_view name, std::span<const std::string> candidates) {
    if (candidates.empty()) return "None is known";
    const auto nearest = nearestName(name, candidates);
    const std::string known = "Known are " + listed(candidates);
    return nearest ? fmt::format("Did you mean {}? {}", inQuotes(*nearest), known) : known;
}

std::string listed(std::span<const std::string> names) {
    return fmt::format("{}", fmt::join(names, ", "));
}

}  // namespace volvelle
