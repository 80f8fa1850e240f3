#include "Figures/MapPanel.h"

#include "Figures/Contour.h"
#include "Figures/Plate.h"
#include "Figures/Words.h"

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

double lengthOf(const std::vector<Point>& chain) {
    double sum = 0;
    for (std::size_t i = 1; i < chain.size(); ++i)
        sum += std::hypot(chain[i].x - chain[i - 1].x, chain[i].y - chain[i - 1].y);
    return sum;
}

/// Writes the level on the longest line of the contour, where it meets no other label.
void labelContour(Canvas& canvas, const MapPanel& p, std::vector<std::vector<Point>> chains, double levelDb,
                  std::vector<Box>& taken) {
    std::sort(chains.begin(), chains.end(),
              [](const auto& a, const auto& b) { return lengthOf(a) > lengthOf(b); });
    const TextStyle style{8, Palette::ink(), Align::centre, true, 0, true};
    const std::string text = printed(levelDb, 0) + " dB";
    int written = 0;
    for (const auto& chain : chains) {
        if (written == 2 || lengthOf(chain) < 60) return;
        for (const double part : {0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9}) {
            const Point at = chain[static_cast<std::size_t>(part * static_cast<double>(chain.size() - 1))];
            const Box box = canvas.textBox(at, text, style).grown(5);
            const bool free =
                p.plot.contains(box) &&
                std::none_of(taken.begin(), taken.end(), [&](const Box& t) { return t.overlaps(box); });
            if (!free) continue;
            canvas.text(at, text, style);
            taken.push_back(box);
            ++written;
            break;
        }
    }
}

}  // namespace

MapPanel MapPanel::at(const Box& plot) {
    return {plot, {plot.left, plot.right, 20, 20000}, {plot.top, plot.bottom, -180, 180}};
}

void drawMapField(Canvas& canvas, const MapPanel& p, const std::vector<double>& frequencyHz,
                  const MapRows& rows, const std::function<std::uint32_t(double)>& colour) {
    drawMapField(canvas, p, frequencyHz, rows, rows, [&](double level, double) { return colour(level); });
}

void drawMapField(Canvas& canvas, const MapPanel& p, const std::vector<double>& frequencyHz,
                  const MapRows& rows, const MapRows& others,
                  const std::function<std::uint32_t(double, double)>& colour) {
    const int columns = static_cast<int>(2 * p.plot.width()), lines = static_cast<int>(2 * p.plot.height());
    std::vector<std::uint32_t> rgb(static_cast<std::size_t>(columns) * static_cast<std::size_t>(lines));
    const auto& hz = frequencyHz;
    for (int c = 0; c < columns; ++c) {
        const double f = p.frequency.hzAt(p.plot.left + (c + 0.5) / columns * p.plot.width());
        const auto upper = std::upper_bound(hz.begin(), hz.end(), f);
        const bool inside = upper != hz.begin() && (upper != hz.end() || f <= hz.back() * (1 + 1e-9));
        const auto right =
            static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(upper - hz.begin(), 1, std::ssize(hz) - 1));
        const double t = std::log(f / hz[right - 1]) / std::log(hz[right] / hz[right - 1]);
        for (int l = 0; l < lines; ++l) {
            const double angle = p.angle.valueAt(p.plot.top + (l + 0.5) / lines * p.plot.height());
            const double row =
                std::clamp((angle + 180) / mapRowStepDeg, 0.0, static_cast<double>(rows.size()) - 1.000001);
            const auto r = static_cast<std::size_t>(row);
            const double s = row - static_cast<double>(r);
            const auto at = [&](const MapRows& of) {
                const auto across = [&](std::size_t k) {
                    return of[k][right - 1] + t * (of[k][right] - of[k][right - 1]);
                };
                return inside ? across(r) + s * (across(r + 1) - across(r)) : std::nan("");
            };
            rgb[static_cast<std::size_t>(l) * static_cast<std::size_t>(columns) +
                static_cast<std::size_t>(c)] = colour(at(rows), at(others));
        }
    }
    canvas.image(p.plot, columns, lines, rgb);
}

void drawMapContours(Canvas& canvas, const MapPanel& p, const std::vector<double>& frequencyHz,
                     const std::vector<std::vector<double>>& rows, const std::vector<ContourStyle>& styles) {
    std::vector<double> x, y;
    for (const double hz : frequencyHz) x.push_back(p.frequency.x(hz));
    for (std::size_t r = 0; r < rows.size(); ++r)
        y.push_back(p.angle.y(-180 + static_cast<double>(r) * mapRowStepDeg));
    std::vector<Box> taken;
    for (const ContourStyle& style : styles) {
        const auto chains = contourLines(x, y, rows, style.levelDb);
        canvas.clip(p.plot);
        for (const auto& chain : chains) canvas.stroke(chain, style.pen);
        canvas.unclip();
        labelContour(canvas, p, chains, style.levelDb, taken);
    }
}

void drawMapAngles(Canvas& canvas, const MapPanel& p, const std::vector<double>& measuredDeg, Orbit orbit) {
    TextStyle style = bodyText();
    style.align = Align::right;
    for (const double angle : p.angle.multiplesOf(30)) {
        const double y = p.angle.y(angle);
        const bool strong = std::abs(std::remainder(angle, 90.0)) < 1e-6;
        canvas.line({p.plot.left - (strong ? 5 : 3), y}, {p.plot.left, y}, {Palette::frame(), 0.8, {}});
        const std::string text = angle <= -180 ? "\xE2\x88\x92"
                                                 "180\xC2\xB0"
                                               : signedDegrees(angle);
        canvas.text({p.plot.left - 8, y}, text, style);
    }
    for (const double angle : measuredDeg) {  // each measured angle, in the rim
        canvas.line({p.plot.right + 1, p.angle.y(angle)}, {p.plot.right + 4, p.angle.y(angle)},
                    {Palette::frame(), 0.7, {}});
    }
    TextStyle turned = bodyText();
    turned.align = Align::centre;
    turned.turnDeg = 90;
    const bool flat = orbit == Orbit::horizontal;
    canvas.text({p.plot.left - 54, p.plot.centre().y},
                flat ? "right  \xE2\x86\x90  angle  \xE2\x86\x92  left"
                     : "down  \xE2\x86\x90  angle  \xE2\x86\x92  up",
                turned);
}

void drawMapLines(Canvas& canvas, const MapPanel& p, const Band& band) {
    const Colour thin = Palette::ink().withAlpha(0.16);
    for (const double hz : p.frequency.labels())
        canvas.line({p.frequency.x(hz), p.plot.top}, {p.frequency.x(hz), p.plot.bottom}, {thin, 0.6, {}});
    for (const double a : {-90.0, 0.0, 90.0})
        canvas.line({p.plot.left, p.angle.y(a)}, {p.plot.right, p.angle.y(a)}, {thin, 0.6, {}});
    const Colour veil = Palette::paper().withAlpha(0.72);
    canvas.fillBox({p.plot.left, p.plot.top, p.frequency.x(band.lowHz), p.plot.bottom}, veil);
    canvas.fillBox({p.frequency.x(band.highHz), p.plot.top, p.plot.right, p.plot.bottom}, veil);
    canvas.strokeBox(p.plot, {Palette::frame(), 0.9, {}});
}

void drawMapKey(Canvas& canvas, const Box& key, const std::vector<double>& edges,
                const std::function<Colour(double)>& colour, const std::vector<ContourStyle>& contours,
                const std::string& title) {
    const LevelAxis axis{key.top, key.bottom, edges.front() - (edges[1] - edges[0]),
                         edges.back() + (edges[1] - edges[0])};
    for (std::size_t i = 0; i <= edges.size(); ++i) {
        const double from = i == 0 ? axis.low : edges[i - 1], to = i == edges.size() ? axis.high : edges[i];
        canvas.fillBox({key.left, axis.y(to), key.right, axis.y(from)}, colour((from + to) / 2));
    }
    for (const ContourStyle& c : contours) {
        canvas.line({key.left, axis.y(c.levelDb)}, {key.right, axis.y(c.levelDb)}, c.pen);
    }
    canvas.strokeBox(key, {Palette::frame(), 0.8, {}});
    for (const double db : edges) {
        canvas.line({key.right, axis.y(db)}, {key.right + 3, axis.y(db)}, {Palette::frame(), 0.8, {}});
        canvas.text({key.right + 6, axis.y(db)}, (db > 0 ? "+" : "") + printed(db, 0), bodyText());
    }
    TextStyle turned = bodyText();
    turned.align = Align::centre;
    turned.turnDeg = 90;
    canvas.text({key.right + 36, key.centre().y}, title, turned);
}

}  // namespace volvelle
