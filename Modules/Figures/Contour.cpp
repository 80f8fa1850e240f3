#include "Figures/Contour.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>
#include <unordered_map>

namespace volvelle {

namespace {

/// An edge of the grid: 2 · (row · columns + column) towards the next column, plus one towards the next row.
using Edge = std::uint64_t;

struct Grid {
    const std::vector<double>&x, &y;
    const std::vector<std::vector<double>>& v;
    double level;

    bool above(std::size_t r, std::size_t c) const { return v[r][c] > level; }
    Edge edge(std::size_t r, std::size_t c, bool downwards) const {
        return 2 * (r * x.size() + c) + (downwards ? 1 : 0);
    }
    Point crossing(Edge e) const {
        const std::size_t at = e / 2, r = at / x.size(), c = at % x.size();
        const bool down = e % 2 == 1;
        const double a = v[r][c], b = down ? v[r + 1][c] : v[r][c + 1], t = (level - a) / (b - a);
        return down ? Point{x[c], y[r] + t * (y[r + 1] - y[r])} : Point{x[c] + t * (x[c + 1] - x[c]), y[r]};
    }
};

using Links = std::unordered_map<Edge, std::vector<Edge>>;

void join(Links& links, Edge a, Edge b) {
    links[a].push_back(b);
    links[b].push_back(a);
}

void linkCell(const Grid& g, std::size_t r, std::size_t c, Links& links, std::vector<Edge>& order) {
    const double corners[] = {g.v[r][c], g.v[r][c + 1], g.v[r + 1][c + 1], g.v[r + 1][c]};
    double sum = 0;
    for (const double value : corners) sum += value;
    if (!std::isfinite(sum)) return;
    const Edge top = g.edge(r, c, false), right = g.edge(r, c + 1, true), bottom = g.edge(r + 1, c, false),
               left = g.edge(r, c, true);
    const bool a = g.above(r, c), b = g.above(r, c + 1), d = g.above(r + 1, c + 1), e = g.above(r + 1, c);
    std::vector<Edge> cut;
    if (a != b) cut.push_back(top);
    if (b != d) cut.push_back(right);
    if (d != e) cut.push_back(bottom);
    if (e != a) cut.push_back(left);
    if (cut.size() == 2) join(links, cut[0], cut[1]);
    if (cut.size() == 4) {
        const bool middleLikeA = (sum / 4 > g.level) == a;
        join(links, top, middleLikeA ? right : left);
        join(links, bottom, middleLikeA ? left : right);
    }
    order.insert(order.end(), cut.begin(), cut.end());
}

std::optional<Edge> takeNeighbour(Links& links, Edge from) {
    auto& next = links[from];
    if (next.empty()) return std::nullopt;
    const Edge to = next.back();
    next.pop_back();
    auto& back = links[to];
    back.erase(std::find(back.begin(), back.end(), from));
    return to;
}

std::vector<Point> chainFrom(const Grid& g, Links& links, Edge start) {
    std::vector<Point> chain{g.crossing(start)};
    for (auto next = takeNeighbour(links, start); next; next = takeNeighbour(links, *next))
        chain.push_back(g.crossing(*next));
    return chain;
}

}  // namespace

std::vector<std::vector<Point>> contourLines(const std::vector<double>& x, const std::vector<double>& y,
                                             const std::vector<std::vector<double>>& values, double level) {
    const Grid g{x, y, values, level};
    Links links;
    std::vector<Edge> order;
    for (std::size_t r = 0; r + 1 < y.size(); ++r) {
        for (std::size_t c = 0; c + 1 < x.size(); ++c) linkCell(g, r, c, links, order);
    }
    std::vector<std::vector<Point>> chains;
    for (const bool endsFirst : {true, false}) {  // open lines from their ends, then the closed ones
        for (const Edge e : order) {
            const std::size_t n = links[e].size();
            if (n == 0 || (endsFirst && n != 1)) continue;
            chains.push_back(chainFrom(g, links, e));
        }
    }
    return chains;
}

}  // namespace volvelle
