#include "Figures/FamilyWords.h"
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

constexpr double leftRoom = 112, rightRoom = 150, bottomRoom = 34;
constexpr double highestFundamentalFloor = 0.316;  // -10 dB re the fundamental

struct Layout {
    Box plot;
    FrequencyAxis frequency;
    LevelAxis level;  // dB re the fundamental
};

double toDb(double ratio) {
    return ratio > 0 ? 20 * std::log10(ratio) : std::nan("");
}

/// "100 %", "0.01 %" for a whole decade.
std::string percentAt(double db) {
    const int power = static_cast<int>(std::lround(db / 20)) + 2;
    return fixedText(std::pow(10.0, power), std::max(0, -power)) + " %";
}

/// Means of squares over 1/12 octave about each frequency: what is drawn.
std::vector<double> steadied(const std::vector<double>& hz, const std::vector<double>& ratio) {
    std::vector<double> out(std::min(hz.size(), ratio.size()), std::nan(""));
    const double half = std::exp2(1.0 / 24) * (1 + 1e-9);
    for (std::size_t i = 0; i < out.size(); ++i) {
        double sum = 0, n = 0;
        const auto from =
            static_cast<std::size_t>(std::lower_bound(hz.begin(), hz.end(), hz[i] / half) - hz.begin());
        for (std::size_t k = from; k < out.size() && hz[k] <= hz[i] * half; ++k) {
            if (!std::isfinite(ratio[k])) continue;
            sum += ratio[k] * ratio[k];
            n += 1;
        }
        if (std::isfinite(ratio[i]) && n > 0) out[i] = std::sqrt(sum / n);
    }
    return out;
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

/// A curve as it is drawn: steadied, and what noise alone would give.
struct Harmonic {
    std::string name;
    std::vector<double> ratio, floor;
    Pen pen;
    bool hasFloor = true;
    /// Twice as strong as noise alone (6 dB).
    bool isAboveNoise(std::size_t i) const {
        return std::isfinite(ratio[i]) && (i >= floor.size() || !(ratio[i] < 2 * floor[i]));
    }
};

/// Root of the sum of squares of what is known at each frequency.
std::vector<double> sumOf(const std::vector<Harmonic>& all) {
    std::vector<double> out;
    for (const Harmonic& h : all) {
        out.resize(std::max(out.size(), h.floor.size()), 0);
        for (std::size_t i = 0; i < h.floor.size(); ++i) {
            if (std::isfinite(h.floor[i])) out[i] = std::hypot(out[i], h.floor[i]);
        }
    }
    return out;
}

/// Not a number where the fundamental itself lies in the noise.
std::vector<double> overNoise(const Distortion& d, std::vector<double> ratio) {
    for (std::size_t i = 0; i < std::min(ratio.size(), d.fundamentalFloor.size()); ++i)
        if (d.fundamentalFloor[i] > highestFundamentalFloor) ratio[i] = std::nan("");
    return ratio;
}

/// The orders, then the total.
std::vector<Harmonic> harmonicsOf(const Family& family) {
    const Distortion& d = family.distortion;
    std::vector<Harmonic> out;
    for (std::size_t k = 0; k < std::min(d.orders.size(), d.ratio.size()); ++k) {
        const auto floor = k < d.floor.size() ? steadied(family.frequencyHz, overNoise(d, d.floor[k]))
                                              : std::vector<double>{};
        out.push_back({orderName(d.orders[k]), steadied(family.frequencyHz, overNoise(d, d.ratio[k])), floor,
                       Palette::curvePen(k + 1)});
    }
    const auto noise = sumOf(out);
    out.push_back(
        {"Total", steadied(family.frequencyHz, overNoise(d, d.total)), noise, Palette::curvePen(0), false});
    return out;
}

/// dB shown: 60 to 100, whole decades of percent up to 100 % at most, down to what the harmonics reach.
LevelAxis levelAxis(const std::vector<Harmonic>& harmonics, const Box& plot) {
    double low = 0, high = -100;
    for (const Harmonic& h : harmonics) {
        for (const double ratio : h.ratio) {
            const double db = toDb(ratio);
            if (!std::isfinite(db)) continue;
            low = std::min(low, db);
            high = std::max(high, db);
        }
    }
    const double top = std::clamp(20 * std::ceil((high + 3) / 20), -40.0, 0.0);
    const double bottom = std::clamp(20 * std::floor((low - 3) / 20), -140.0, top - 60);
    return {plot.top, plot.bottom, std::max(bottom, top - 100), top};
}

void drawGrid(Canvas& canvas, const Layout& l, const Band& band) {
    drawGround(canvas, l.plot, l.frequency, band);
    drawFrequencyLines(canvas, l.plot, l.frequency);
    TextStyle style = bodyText();
    style.align = Align::right;
    for (const double level : l.level.multiplesOf(10)) {
        const bool whole = std::abs(std::remainder(level, 20.0)) < 1e-6;
        const double y = l.level.y(level);
        canvas.line({l.plot.left, y}, {l.plot.right, y},
                    {whole ? Palette::gridStrong() : Palette::gridFine(), whole ? 0.9 : 0.6, {}});
        if (whole) canvas.text({l.plot.left - 6, y}, printed(level, 0) + " dB", style);
        if (whole) canvas.text({l.plot.left - 54, y}, percentAt(level), style);
    }
    canvas.strokeBox(l.plot, {Palette::frame(), 0.9, {}});
    TextStyle turned = bodyText();
    turned.align = Align::centre;
    turned.turnDeg = 90;
    canvas.text({l.plot.left - 106, l.plot.centre().y}, "Harmonic re the fundamental", turned);
    drawFrequencyLabels(canvas, l.frequency, l.plot.bottom, "Frequency of the fundamental, Hz");
}

std::vector<Point> pointsOf(const Family& family, const std::vector<double>& ratio, const Layout& l) {
    std::vector<Point> out;
    for (std::size_t i = 0; i < std::min(ratio.size(), family.frequencyHz.size()); ++i) {
        out.push_back({l.frequency.x(family.frequencyHz[i]), l.level.y(toDb(ratio[i]))});
    }
    return out;
}

/// The last point of the curve within the axis.
std::optional<std::size_t> endOf(const Family& family, const Harmonic& h, double highestHz) {
    std::optional<std::size_t> last;
    for (std::size_t i = 0; i < std::min(h.ratio.size(), family.frequencyHz.size()); ++i)
        if (h.ratio[i] > 0 && family.frequencyHz[i] <= highestHz * 1.001) last = i;
    return last;
}

/// Name of a harmonic of which this share of the points in the valid range stands out of the noise.
std::string labelOf(const Harmonic& h, double shareAbove) {
    if (shareAbove <= 0) return h.name + ", in the noise";
    return shareAbove < 0.1 ? h.name + ", mostly in the noise" : h.name;
}

/// The whole curve faint, over it full what stands out of the noise.
void drawOne(Canvas& canvas, const Family& family, const Layout& l, const Band& band, const Harmonic& h,
             std::vector<EndLabel>& labels) {
    auto points = pointsOf(family, h.ratio, l);
    canvas.clip(l.plot);
    canvas.stroke(points, h.pen.faint());
    canvas.unclip();
    const auto end = endOf(family, h, l.frequency.highHz);
    if (!end) return;
    const Point last = points[*end];
    double drawn = 0, above = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
        const bool valid = family.frequencyHz[i] >= band.lowHz && family.frequencyHz[i] <= band.highHz;
        if (valid && std::isfinite(points[i].y)) ++drawn;
        if (!h.isAboveNoise(i)) points[i].y = std::nan("");
        if (valid && std::isfinite(points[i].y)) ++above;
    }
    drawCurve(canvas, l.plot, points, l.frequency.x(band.lowHz), l.frequency.x(band.highHz), h.pen);
    const double y = std::clamp(last.y, l.plot.top, l.plot.bottom);
    canvas.disc({last.x, y}, 2, h.pen.colour);
    labels.push_back({labelOf(h, drawn > 0 ? above / drawn : 0), last, h.pen});
}

bool anythingIn(const std::vector<Harmonic>& harmonics) {
    return std::any_of(harmonics.begin(), harmonics.end(), [](const Harmonic& harmonic) {
        return std::any_of(harmonic.ratio.begin(), harmonic.ratio.end(),
                           [](double v) { return std::isfinite(v); });
    });
}

std::string whyNone(const Distortion& d) {
    return d.missing.empty() && !d.orders.empty() ? "At all frequencies the fundamental lies in the noise."
                                                  : d.missing;
}

}  // namespace

void drawDistortion(const Family& family, Canvas& canvas) {
    const Distortion& d = family.distortion;
    const auto harmonics = harmonicsOf(family);
    const bool there = anythingIn(harmonics) && !family.frequencyHz.empty();
    std::vector<std::string> statements{
        "On the axis; means of squares over 1/12 octave. Faint: less than 6 dB above the noise, whose share "
        "in "
        "each order is dotted. Not drawn: where the fundamental itself is less than 10 dB above its noise.",
        "A curve ends where its harmonic leaves the excited band; the total is that of the orders left."};
    if (!there) statements.clear();
    const Box content =
        drawPlate(canvas, wordsOf(family, FigureKind::distortion, statements), "Harmonic distortion");
    const Box plot{content.left + leftRoom, content.top + 18, content.right - rightRoom,
                   content.bottom - bottomRoom};
    const Layout l{plot, {plot.left, plot.right, 20, 20000}, levelAxis(harmonics, plot)};
    const Band band = drawnBand(family.validity.valid(), l.frequency);
    drawGrid(canvas, l, band);
    if (!there) {
        sayInstead(canvas, plot, "No harmonics to draw", whyNone(d));
        return;
    }
    std::vector<EndLabel> labels;
    for (const Harmonic& h : harmonics) {
        if (!h.hasFloor) continue;
        drawCurve(canvas, plot, pointsOf(family, h.floor, l), plot.left, plot.right,
                  {h.pen.colour.withAlpha(0.55), 0.8, {1, 2}});
    }
    for (const Harmonic& h : harmonics) drawOne(canvas, family, l, band, h, labels);
    if (!labels.empty())
        std::rotate(labels.begin(), labels.end() - 1, labels.end());  // the total above its equal
    drawEndLabels(canvas, labels,
                  {plot.right, plot.right, plot.right + 22, content.right, plot.top, plot.bottom});
}

}  // namespace volvelle
