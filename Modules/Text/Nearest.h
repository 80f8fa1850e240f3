#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace volvelle {

/// Edits (insert, delete, replace, swap of neighbours) that lead from one text to the other; case counts for
/// nothing.
std::size_t editDistance(std::string_view a, std::string_view b);

/// The candidate that was probably meant: nearest by editDistance, at most a third of the longer length away
/// (at least one edit is always allowed), the first of equals. Nothing where none is near.
std::optional<std::string> nearestName(std::string_view name, std::span<const std::string> candidates);

/// A sentence for an Error's advice: "Did you mean 'front'? Known are front, rear" or "Known are front, rear"
/// or "None is known".
std::string suggestion(std::string_view name, std::span<const std::string> candidates);

/// "front, rear, woofer".
std::string listed(std::span<const std::string> names);

}  // namespace volvelle
