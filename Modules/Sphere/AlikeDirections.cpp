#include "Sphere/AlikeDirections.h"

#include <algorithm>
#include <numeric>

namespace volvelle {
namespace {

constexpr double reach = 2e-4;  // chord of a little more than the 0.01° within which directions are the same

}  // namespace

std::vector<std::size_t> firstAlike(std::span<const Direction> directions) {
    std::vector<double> x;
    for (const auto& d : directions) x.push_back(unitVector(d)[0]);
    std::vector<std::size_t> sorted(directions.size());
    std::iota(sorted.begin(), sorted.end(), std::size_t{0});
    std::stable_sort(sorted.begin(), sorted.end(), [&](std::size_t a, std::size_t b) { return x[a] < x[b]; });
    std::vector<std::size_t> first(directions.size());
    std::iota(first.begin(), first.end(), std::size_t{0});
    for (std::size_t i = 0; i < sorted.size(); ++i)
        for (std::size_t k = i; k > 0 && x[sorted[i]] - x[sorted[k - 1]] <= reach; --k) {
            const std::size_t a = sorted[i], b = sorted[k - 1];
            if (sameDirection(directions[a], directions[b])) {
                first[std::max(a, b)] = std::min(first[std::max(a, b)], std::min(a, b));
            }
        }
    return first;
}

}  // namespace volvelle
