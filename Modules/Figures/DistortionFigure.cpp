#include "Figures/Kinds.h"
#include "Figures/Plate.h"
#include "Figures/Words.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace volvelle {

namespace {

constexpr double leftRoom = 58, rightRoom = 176, bottomRoom = 34;

struct Layout {
    Box plot;
    FrequencyAxis frequency;
    LevelAxis level;  // dB re the fundamental
};

double toDb(double ratio) {
    return ratio > 0 ? 20 * std::log10(ratio) : std::nan("");
}

std::string orderName(int order) {
    switch (order) {
        case 2:
            return "2nd harmonic";
        case 3:
            return "3rd harmonic";
        default:
            return fmt::format("{}th harmonic", order);
    }
}

/// dB shown: 60 or more, whole decades of percent, from what the harmonics reach down to their floors.
LevelAxis levelAxis(const Distortion& d, const Box& plot) {
    double low = 0, high = -100;
    const auto look = [&](const std::vector<double>& values) {
        for (const double v : values) {
            const double db = toDb(v);
            if (!std::isfinite(db)) continue;
            low = std::min(low, db);
            high = std::max(high, db);
        }
    };
    for (const auto& values : d.ratio) look(values);
    look(d.total);
    const double top = std::clamp(20 * std::ceil((high + 3) / 20), -40.0, 20.0);
    const double bottom = std::clamp(20 * std::floor((low - 3) / 20), -120.0, top - 60);
    return {plot.top, plot.bottom, std::max(bottom, top - 100), top};
}

void drawGrid(Canvas& canvas, const Layout& l, const Band& band) {
    drawGround(canvas, l.plot, l.frequency, band);
    drawFrequencyLines(canvas, l.plot, l.frequency);
    TextStyle percent = bodyText(), db = bodyText();
    percent.align = Align::right;
    for (const double level : l.level.multiplesOf(10)) {
        const bool whole = std::abs(std::remainder(level, 20.0)) < 1e-6;
        const double y = l.level.y(level);
        canvas.line({l.plot.left, y}, {l.plot.right, y},
                    {whole ? Palette::gridStrong() : Palette::gridFine(), whole ? 0.9 : 0.6, {}});
        if (whole)
            canvas.text({l.plot.left - 6, y}, significantText(100 * std::pow(10, level / 20), 2) + " %",
                        percent);
        if (whole) canvas.text({l.plot.right + 5, y}, printed(level, 0), db);
    }
    canvas.strokeBox(l.plot, {Palette::frame(), 0.9, {}});
    TextStyle turned = bodyText();
    turned.align = Align::centre;
    turned.turnDeg = 90;
    canvas.text({l.plot.left - 50, l.plot.centre().y}, "Harmonic re the fundamental", turned);
    canvas.text({l.plot.right + 5, l.plot.top - 11}, "dB", db);
    drawFrequencyLabels(canvas, l.frequency, l.plot.bottom, "Frequency of the fundamental, Hz");
}

std::vector<Point> pointsOf(const Family& family, const std::vector<double>& ratio, const Layout& l) {
    std::vector<Point> out;
    for (std::size_t i = 0; i < std::min(ratio.size(), family.frequencyHz.size()); ++i) {
        out.push_back({l.frequency.x(family.frequencyHz[i]), l.level.y(toDb(ratio[i]))});
    }
    return out;
}

std::optional<Point> lastOf(const std::vector<Point>& points, double right) {
    std::optional<Point> last;
    for (const Point& p : points) {
        if (std::isfinite(p.y) && p.x <= right + 0.5) last = p;
    }
    return last;
}

/// Curve and floor of one order, or of the total.
void drawOne(Canvas& canvas, const Family& family, const Layout& l, const Band& band,
             const std::vector<double>& ratio, const std::string& name, const Pen& pen,
             std::vector<EndLabel>& labels) {
    const auto points = pointsOf(family, ratio, l);
    drawCurve(canvas, l.plot, points, l.frequency.x(band.lowHz), l.frequency.x(band.highHz), pen);
    const auto end = lastOf(points, l.plot.right);
    if (!end) return;
    canvas.disc({end->x, std::clamp(end->y, l.plot.top, l.plot.bottom)}, 2, pen.colour);
    const double y = std::clamp(end->y, l.plot.top, l.plot.bottom);
    canvas.line({end->x, y}, {l.plot.right, y}, {pen.colour.withAlpha(0.45), 0.5, {}});
    labels.push_back({name, *end, pen});
}

bool anythingIn(const Distortion& d) {
    return std::any_of(d.ratio.begin(), d.ratio.end(), [](const auto& values) {
        return std::any_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
    });
}

}  // namespace

void drawDistortion(const Family& family, Canvas& canvas) {
    const Distortion& d = family.distortion;
    const bool there = anythingIn(d) && !family.frequencyHz.empty();
    std::vector<std::string> statements{
        "On the axis, at the level of the recording. A curve ends where its harmonic leaves the excited "
        "band; the total is that of "
        "the orders left.",
        "Thin dotted lines: what noise alone would give in each order."};
    if (!there) statements.clear();
    const Box content = drawPlate(canvas, family, "Harmonic distortion", statements);
    const Box plot{content.left + leftRoom, content.top + 18, content.right - rightRoom,
                   content.bottom - bottomRoom};
    const Layout l{plot, {plot.left, plot.right, 20, 20000}, levelAxis(d, plot)};
    const Band band = drawnBand(family, l.frequency);
    drawGrid(canvas, l, band);
    if (!there) {
        sayInstead(canvas, plot, "No harmonics to draw", d.missing);
        return;
    }
    std::vector<EndLabel> labels;
    for (std::size_t k = 0; k < std::min({d.orders.size(), d.ratio.size(), d.floor.size()}); ++k) {
        const Pen floorPen{Palette::curve(k + 1).withAlpha(0.55), 0.8, {1, 2}};
        drawCurve(canvas, plot, pointsOf(family, d.floor[k], l), plot.left, plot.right, floorPen);
    }
    for (std::size_t k = 0; k < std::min(d.orders.size(), d.ratio.size()); ++k) {
        drawOne(canvas, family, l, band, d.ratio[k], orderName(d.orders[k]), Palette::curvePen(k + 1),
                labels);
    }
    drawOne(canvas, family, l, band, d.total, "Total", Palette::curvePen(0), labels);
    drawEndLabels(canvas, labels, plot.right + 30, plot.right + 44, content.right, plot.top, plot.bottom);
}

}  // namespace volvelle
