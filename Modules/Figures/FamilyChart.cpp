#include "Figures/FamilyWords.h"
#include "Figures/Kinds.h"
#include "Figures/Plate.h"
#include "Figures/Words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace volvelle {

namespace {

constexpr double levelRangeDb = 50,
                 dbPerDecade = 25;  // IEC 60263: one decade is as long as 25 dB (or 10, or 50)
constexpr double leftRoom = 46, rightRoom = 172, bottomRoom = 34;

/// A curve of the chart, its ink, and whether it belongs to the lower part.
struct ChartCurve {
    const Curve* curve;
    Pen pen;
    bool isIndex;
};

struct ChartLayout {
    Box levels, indices;
    FrequencyAxis frequency;
    LevelAxis level, index;
    Band band;
};

const Curve* find(const Family& family, const std::string& key) {
    const auto found = std::find_if(family.curves.begin(), family.curves.end(),
                                    [&](const Curve& c) { return c.key == key; });
    return found == family.curves.end() ? nullptr : &*found;
}

std::vector<ChartCurve> chartCurves(const Family& family, bool inRoom) {
    Pen thin = Palette::curvePen(4);
    thin.width = 1.0;
    const std::pair<const char*, ChartCurve> wanted[] = {
        {"estimated_in_room", {nullptr, thin, false}},
        {"sound_power", {nullptr, Palette::curvePen(3), false}},
        {"early_reflections", {nullptr, Palette::curvePen(2), false}},
        {"listening_window", {nullptr, Palette::curvePen(1), false}},
        {"on_axis", {nullptr, Palette::curvePen(0), false}},
        {"early_reflections_di", {nullptr, Palette::curvePen(2), true}},
        {"sound_power_di", {nullptr, Palette::curvePen(3), true}}};
    std::vector<ChartCurve> out;
    for (auto [key, entry] : wanted) {
        entry.curve = find(family, key);
        const bool drawn = entry.curve != nullptr && (inRoom || std::string(key) != "estimated_in_room");
        if (drawn) out.push_back(entry);
    }
    return out;
}

struct Extremes {
    double low = std::numeric_limits<double>::infinity(), high = -std::numeric_limits<double>::infinity();
    bool known() const { return low <= high; }
};

Extremes extremes(const Family& family, const std::vector<ChartCurve>& curves, bool indices,
                  const Band& band) {
    Extremes e;
    for (const ChartCurve& c : curves) {
        if (c.isIndex != indices) continue;
        const std::size_t n = std::min(family.frequencyHz.size(), c.curve->levelDb.size());
        for (std::size_t i = 0; i < n; ++i) {
            const bool counts = family.frequencyHz[i] >= band.lowHz && family.frequencyHz[i] <= band.highHz &&
                                std::isfinite(c.curve->levelDb[i]);
            if (!counts) continue;
            e.low = std::min(e.low, c.curve->levelDb[i]);
            e.high = std::max(e.high, c.curve->levelDb[i]);
        }
    }
    return e;
}

/// Lowest and highest index shown: 20 dB from 0, or from below where indices are negative; more where they
/// reach higher.
Extremes indexRange(const Extremes& data) {
    if (!data.known()) return {0, 20};
    const double low = std::clamp(std::floor((data.low + 0.3) / 5) * 5, -10.0, 0.0);
    const double high = std::clamp(std::ceil((data.high + 0.5) / 5) * 5, low + 15, low + 35);
    return {low, high};
}

ChartLayout layOut(const Family& family, const std::vector<ChartCurve>& curves, const Box& content) {
    FrequencyAxis frequency{0, 1, 20, 20000};
    const Band band = drawnBand(family.validity.valid(), frequency);
    const Extremes index = indexRange(extremes(family, curves, true, band));
    const Extremes level = extremes(family, curves, false, band);
    const double allDb = levelRangeDb + index.high - index.low;
    const double decades = std::log10(frequency.highHz / frequency.lowHz);
    const double decade = std::min((content.width() - leftRoom - rightRoom) / decades,
                                   (content.height() - bottomRoom - 12) * dbPerDecade / allDb);
    const double wide = decade * decades, perDb = decade / dbPerDecade;
    frequency.left = content.left + leftRoom + (content.width() - leftRoom - rightRoom - wide) / 2;
    frequency.right = frequency.left + wide;
    const double top = content.top + 8 + (content.height() - bottomRoom - 12 - perDb * allDb) / 2;
    const double between = top + levelRangeDb * perDb, bottom = between + (index.high - index.low) * perDb;
    const double highest = level.known() ? std::ceil((level.high + 0.5) / 5) * 5 : 100;
    return {{frequency.left, top, frequency.right, between},
            {frequency.left, between, frequency.right, bottom},
            frequency,
            {top, between, highest - levelRangeDb, highest},
            {between, bottom, index.low, index.high},
            band};
}

void drawLevelLines(Canvas& canvas, const Box& plot, const LevelAxis& axis) {
    for (const double db : axis.multiplesOf(5)) {
        const bool strong = std::abs(std::remainder(db, 10.0)) < 1e-6;
        canvas.line({plot.left, axis.y(db)}, {plot.right, axis.y(db)},
                    {strong ? Palette::gridStrong() : Palette::gridFine(), strong ? 0.9 : 0.6, {}});
    }
}

void drawGrid(Canvas& canvas, const ChartLayout& l) {
    for (const Box& plot : {l.levels, l.indices}) {
        drawGround(canvas, plot, l.frequency, l.band);
        drawFrequencyLines(canvas, plot, l.frequency);
    }
    drawLevelLines(canvas, l.levels, l.level);
    drawLevelLines(canvas, l.indices, l.index);
    canvas.strokeBox(l.levels, {Palette::frame(), 0.9, {}});
    canvas.strokeBox(l.indices, {Palette::frame(), 0.9, {}});
    TextStyle style = bodyText();
    style.align = Align::right;
    for (const double db : l.level.multiplesOf(10)) {
        canvas.text({l.levels.left - 6, l.level.y(db)}, printed(db, 0), style);
    }
    style.align = Align::left;
    for (const double db : l.index.multiplesOf(5)) {
        canvas.text({l.indices.right + 5, l.index.y(db)}, printed(db, 0), style);
    }
    TextStyle turned = bodyText();
    turned.align = Align::centre;
    turned.turnDeg = 90;
    canvas.text({l.levels.left - 36, l.levels.centre().y}, "Level, dB", turned);
    canvas.text({l.indices.right + 5, l.indices.top - 13}, "Directivity index, dB", style);
    drawFrequencyLabels(canvas, l.frequency, l.indices.bottom, "Frequency, Hz");
}

/// Draws the curve; gives where its label belongs, or nothing where there is nothing to see.
std::optional<EndLabel> drawOne(Canvas& canvas, const Family& family, const ChartCurve& c,
                                const ChartLayout& l) {
    const LevelAxis& axis = c.isIndex ? l.index : l.level;
    const Box& plot = c.isIndex ? l.indices : l.levels;
    std::vector<Point> points;
    std::optional<Point> end;
    const std::size_t n = std::min(family.frequencyHz.size(), c.curve->levelDb.size());
    for (std::size_t i = 0; i < n; ++i) {
        points.push_back({l.frequency.x(family.frequencyHz[i]), axis.y(c.curve->levelDb[i])});
        if (std::isfinite(points.back().y) && points.back().x <= plot.right + 0.5) end = points.back();
    }
    drawCurve(canvas, plot, points, l.frequency.x(l.band.lowHz), l.frequency.x(l.band.highHz), c.pen);
    if (!end) return std::nullopt;
    return EndLabel{c.curve->title, *end, c.pen};
}

std::string reasonOf(const Curve& curve) {
    return curve.missing.empty() ? "the reason is not stated" : curve.missing;
}

bool isEmpty(const Curve& curve) {
    return std::none_of(curve.levelDb.begin(), curve.levelDb.end(),
                        [](double v) { return std::isfinite(v); });
}

/// One sentence for each reason, naming the curves that it empties; on-axis first, as in the table.
std::vector<std::string> missingStatements(const Family& family, const std::vector<ChartCurve>& curves) {
    std::vector<std::pair<std::string, std::string>> reasons;  // reason, names
    for (const Curve& c : family.curves) {
        const bool drawn =
            std::any_of(curves.begin(), curves.end(), [&](const ChartCurve& d) { return d.curve == &c; });
        if (!drawn || (c.missing.empty() && !isEmpty(c))) continue;
        const auto known = std::find_if(reasons.begin(), reasons.end(),
                                        [&](const auto& r) { return r.first == reasonOf(c); });
        if (known == reasons.end()) {
            reasons.emplace_back(reasonOf(c), c.title);
        } else {
            known->second += ", " + c.title;
        }
    }
    std::vector<std::string> out;
    for (const auto& [reason, names] : reasons)
        out.push_back(fmt::format("Not drawn: {}. {}", names, reason));
    return out;
}

std::string whyNone(const std::vector<ChartCurve>& curves, bool indices) {
    for (auto c = curves.rbegin(); c != curves.rend(); ++c) {
        if (c->isIndex == indices) return fmt::format("{}: {}", c->curve->title, reasonOf(*c->curve));
    }
    return "The family holds none of them.";
}

void drawLabels(Canvas& canvas, const std::vector<EndLabel>& labels, const Box& plot, bool isIndex,
                double right) {
    drawEndLabels(canvas, labels,
                  {plot.right, plot.right + (isIndex ? 20 : 3), plot.right + 36, right, plot.top + 2,
                   plot.bottom - (isIndex ? 2 : 22)});
}

}  // namespace

void drawFamilyChart(const Family& family, const FigureOptions& options, Canvas& canvas) {
    const auto curves = chartCurves(family, options.estimatedInRoom);
    std::vector<std::string> statements = missingStatements(family, curves);
    statements.push_back("Proportions of IEC 60263: a decade is as long as 25 dB, on both level axes.");
    const Box content =
        drawPlate(canvas, wordsOf(family, FigureKind::family, statements), "Family of curves");
    const ChartLayout l = layOut(family, curves, content);
    drawGrid(canvas, l);
    std::vector<EndLabel> levels, indices;
    for (const ChartCurve& c : curves) {
        const auto label = drawOne(canvas, family, c, l);
        if (label) (c.isIndex ? indices : levels).push_back(*label);
    }
    drawLabels(canvas, levels, l.levels, false, content.right);
    drawLabels(canvas, indices, l.indices, true, content.right);
    if (levels.empty()) sayInstead(canvas, l.levels, "No level curves to draw", whyNone(curves, false));
    if (indices.empty())
        sayInstead(canvas, l.indices, "No directivity indices to draw", whyNone(curves, true));
}

}  // namespace volvelle
