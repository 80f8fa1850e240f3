#include "Command/EmptyCurves.h"

#include "Command/Screen.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <string_view>

namespace volvelle {

namespace {

constexpr std::string_view lacksPositions = "not measured or left out";

/// The reason without the positions that it lists: up to the next run's.
std::string withoutPositions(std::string reason) {
    const std::string begin = std::string(lacksPositions) + ": ";
    for (auto at = reason.find(begin); at != std::string::npos; at = reason.find(begin, at + 1)) {
        const auto from = at + lacksPositions.size();
        reason.erase(from, std::min(reason.find("; ", from), reason.size()) - from);
    }
    return reason;
}

/// A curve that is made of others says of which: "sound_power: not measured ...". It lacks what those lack.
std::string kindOf(const std::string& reason) {
    const std::string kind = withoutPositions(reason);
    const auto colon = kind.find(": ");
    const bool isOfOneRun = colon != std::string::npos && kind.find("; ") == std::string::npos && colon > 1 &&
                            kind.find(", ") == std::string::npos;
    return isOfOneRun && kind.ends_with(lacksPositions) ? std::string(lacksPositions) : kind;
}

struct Group {
    std::string kind;
    std::vector<std::string> names;
    std::set<std::string> reasons;
};

}  // namespace

std::string emptyCurvesText(const std::vector<std::pair<std::string, std::string>>& curvesAndReasons) {
    std::vector<Group> groups;
    for (const auto& [name, reason] : curvesAndReasons) {
        const std::string kind = kindOf(reason);
        auto group =
            std::find_if(groups.begin(), groups.end(), [&](const Group& g) { return g.kind == kind; });
        if (group == groups.end()) group = groups.insert(groups.end(), Group{kind, {}, {}});
        group->names.push_back(name);
        group->reasons.insert(reason);
    }
    std::string text;
    for (const Group& group : groups) {
        const bool isOne = group.reasons.size() == 1;
        text += wrapped(fmt::format("Empty: {}: {}{}", fmt::join(group.names, ", "),
                                    isOne ? *group.reasons.begin() : group.kind,
                                    isOne ? "" : ", which positions is in the CSV"));
    }
    return text;
}

}  // namespace volvelle
