#include "Conductor/RedoEvent.h"

#include <fmt/core.h>

#include <string_view>

namespace volvelle {

namespace {

constexpr std::string_view again = "measuring again: ", before = "; captures before that, drive by drive: ",
                           takenOver = "captures were taken over from run ", between = ", ";

/// As redoEvent wrote it, and nothing else.
std::optional<std::vector<std::size_t>> countsIn(std::string_view list) {
    std::vector<std::size_t> counts(1);
    bool isEmpty = true;
    for (std::size_t i = 0; i < list.size(); ++i) {
        if (list[i] >= '0' && list[i] <= '9') {
            counts.back() = 10 * counts.back() + static_cast<std::size_t>(list[i] - '0');
            isEmpty = false;
        } else if (!isEmpty && list.substr(i).starts_with(between)) {
            counts.push_back(0);
            isEmpty = true;
            ++i;
        } else {
            return std::nullopt;
        }
    }
    return isEmpty ? std::nullopt : std::optional(counts);
}

std::string namesOf(const std::vector<NamedPosition>& redo) {
    std::string names;
    for (const NamedPosition& position : redo)
        names += (names.empty() ? "" : std::string(between)) + positionName(position.direction, position.orbit);
    return names;
}

}  // namespace

std::vector<std::size_t> captureCounts(const RunRecord& run) {
    std::vector<std::size_t> counts;
    for (const DriveRecord& drive : run.drives) counts.push_back(drive.captures.size());
    return counts;
}

std::string redoEvent(const std::vector<NamedPosition>& redo, const std::vector<std::size_t>& counts) {
    std::string text = fmt::format("{}{}{}", again, namesOf(redo), before);
    for (std::size_t d = 0; d < counts.size(); ++d) text += fmt::format("{}{}", d > 0 ? between : "", counts[d]);
    return text;
}

std::optional<std::vector<std::size_t>> begunRedo(const RunRecord& run, const std::vector<NamedPosition>& redo) {
    const std::string wanted = fmt::format("{}{}{}", again, namesOf(redo), before);
    for (auto event = run.events.rbegin(); event != run.events.rend(); ++event) {
        if (event->text.starts_with(takenOver)) return std::nullopt;
        if (!event->text.starts_with(again)) continue;
        if (!event->text.starts_with(wanted)) return std::nullopt;
        const auto counts = countsIn(std::string_view(event->text).substr(wanted.size()));
        return counts && counts->size() == run.drives.size() ? counts : std::nullopt;
    }
    return std::nullopt;
}

std::string takenOverEvent(const std::string& fingerprint) {
    return std::string(takenOver) + fingerprint;
}

}  // namespace volvelle
