#include "Figures/LabelSpread.h"

#include <algorithm>
#include <numeric>

namespace volvelle {

namespace {

/// Labels that touch each other, set as one around the mean of what they wish.
struct Group {
    std::size_t first, count;
    double sum;  ///< of the wished positions, each less its offset within the whole column
    double mean() const { return sum / static_cast<double>(count); }
};

}  // namespace

std::vector<double> spreadLabels(const std::vector<double>& wished, const std::vector<double>& heights,
                                 double top, double bottom) {
    const std::size_t n = wished.size();
    std::vector<std::size_t> order(n);
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return wished[a] < wished[b]; });

    // With each label's offset in a column without gaps taken off, "no overlap" becomes "never falling": pool
    // adjacent violators.
    std::vector<double> offset(n);
    double total = 0;
    for (std::size_t i = 0; i < n; ++i) {
        offset[i] = total + heights[order[i]] / 2;
        total += heights[order[i]];
    }
    std::vector<Group> groups;
    for (std::size_t i = 0; i < n; ++i) {
        groups.push_back({i, 1, wished[order[i]] - offset[i]});
        while (groups.size() > 1 && groups[groups.size() - 2].mean() >= groups.back().mean()) {
            const Group last = groups.back();
            groups.pop_back();
            groups.back().count += last.count;
            groups.back().sum += last.sum;
        }
    }
    const double highest = top, lowest = std::max(top, bottom - total);
    const double squeeze = total > bottom - top && total > 0 ? (bottom - top) / total : 1;
    std::vector<double> centre(n);
    for (const Group& g : groups) {
        const double start = std::clamp(g.mean(), highest, lowest);
        for (std::size_t i = g.first; i < g.first + g.count; ++i)
            centre[order[i]] = start + offset[i] * squeeze;
    }
    return centre;
}

}  // namespace volvelle
