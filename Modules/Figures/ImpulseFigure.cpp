#include "Figures/FamilyWords.h"
#include "Figures/Kinds.h"
#include "Figures/Plate.h"
#include "Figures/Words.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

constexpr double leftRoom = 56, rightRoom = 20, lowestDb = -120;
constexpr double longestLinearS = 0.04;  // after the arrival: later everything is flat to the eye

/// Time from left to right, seconds.
struct TimeAxis {
    double left, right, lowS, highS;
    double x(double s) const { return left + (right - left) * (s - lowS) / (highS - lowS); }
};

struct Panel {
    Box plot;
    TimeAxis time;
    LevelAxis level;
};

struct Trace {
    const WindowedImpulse& impulse;
    double peak = 0;
    std::size_t peakAt = 0;
    double timeOf(std::size_t i) const {
        return impulse.firstSampleS + static_cast<double>(i) / impulse.sampleRateHz;
    }
    double lastS() const { return timeOf(impulse.samples.size() - 1); }
    std::size_t indexAt(double s) const {
        const double i = std::ceil((s - impulse.firstSampleS) * impulse.sampleRateHz);
        return static_cast<std::size_t>(std::clamp(i, 0.0, static_cast<double>(impulse.samples.size())));
    }
};

Trace traceOf(const WindowedImpulse& impulse) {
    Trace t{impulse};
    for (std::size_t i = 0; i < impulse.samples.size(); ++i) {
        const double size = std::abs(static_cast<double>(impulse.samples[i]));
        if (std::isfinite(size) && size > t.peak) {
            t.peak = size;
            t.peakAt = i;
        }
    }
    return t;
}

/// Mean square of a stretch of samples re the largest, dB.
double levelDb(const Trace& t, std::size_t from, std::size_t to) {
    double sum = 0;
    for (std::size_t i = from; i < to; ++i)
        sum += std::pow(static_cast<double>(t.impulse.samples[i]) / t.peak, 2);
    return 10 * std::log10(std::max(sum / static_cast<double>(std::max<std::size_t>(to - from, 1)), 1e-20));
}

/// Level of the last third of the samples: the median of its tenths, so that neither a late echo nor an empty
/// end counts.
double lateLevelDb(const Trace& t) {
    const std::size_t n = t.impulse.samples.size(), first = n - n / 3,
                      part = std::max<std::size_t>((n - first) / 10, 1);
    std::vector<double> levels;
    for (std::size_t from = first; from + part <= n; from += part)
        levels.push_back(levelDb(t, from, from + part));
    if (levels.empty()) return levelDb(t, 0, n);
    std::nth_element(levels.begin(), levels.begin() + std::ssize(levels) / 2, levels.end());
    return levels[levels.size() / 2];
}

/// The largest sample of the last half, dB re the largest of all.
double lateLargestDb(const Trace& t) {
    double largest = 1e-12;
    for (std::size_t i = t.impulse.samples.size() / 2; i < t.impulse.samples.size(); ++i)
        largest = std::max(largest, std::abs(static_cast<double>(t.impulse.samples[i])) / t.peak);
    return 20 * std::log10(largest);
}

struct Mark {
    double timeS;
    std::string text;
    Colour colour;
};

/// Upright lines with their texts above the plot, in as many rows as it takes.
void drawMarks(Canvas& canvas, const Panel& p, const std::vector<Mark>& marks) {
    std::vector<Box> taken;
    for (const Mark& mark : marks) {
        const double x = p.time.x(mark.timeS);
        if (!(x >= p.plot.left - 0.5 && x <= p.plot.right + 0.5)) continue;
        TextStyle style{8.4, mark.colour, Align::left, true, 0, false};
        const double wide = canvas.textWidth(mark.text, style);
        if (x + 3 + wide > p.plot.right) style.align = Align::right;
        const double side = style.align == Align::left ? 3 : -3;
        double y = p.plot.top - 8;
        const auto blocked = [&] {
            const Box box = canvas.textBox({x + side, y}, mark.text, style).grown(1.5);
            return std::any_of(taken.begin(), taken.end(), [&](const Box& t) { return t.overlaps(box); });
        };
        while (blocked()) y -= 11;
        taken.push_back(canvas.text({x + side, y}, mark.text, style));
        canvas.line({x, y - 4}, {x, p.plot.bottom}, {mark.colour, 0.9, {}});
    }
}

void drawTimeAxis(Canvas& canvas, const Panel& p) {
    TextStyle style = bodyText();
    style.align = Align::centre;
    const double step = roundStep((p.time.highS - p.time.lowS) * 1000, 10);
    const LevelAxis ms{p.plot.left, p.plot.right, p.time.lowS * 1000, p.time.highS * 1000};
    const int decimals = step >= 1 ? 0 : step >= 0.1 ? 1 : 2;
    for (const double t : ms.multiplesOf(step)) {
        const double x = p.time.x(t / 1000);
        canvas.line({x, p.plot.top}, {x, p.plot.bottom}, {Palette::gridFine(), 0.7, {}});
        canvas.line({x, p.plot.bottom}, {x, p.plot.bottom + 3.5}, {Palette::frame(), 0.8, {}});
        canvas.text({x, p.plot.bottom + 11}, printed(t, decimals), style);
    }
    canvas.text({p.plot.centre().x, p.plot.bottom + 25}, "Time, ms after time zero", style);
}

void drawLevelAxis(Canvas& canvas, const Panel& p, double step, int decimals, const std::string& title) {
    TextStyle style = bodyText();
    style.align = Align::right;
    for (const double level : p.level.multiplesOf(step)) {
        const double y = p.level.y(level);
        canvas.line({p.plot.left, y}, {p.plot.right, y},
                    {Palette::gridStrong(), std::abs(level) < 1e-9 ? 1.0 : 0.6, {}});
        canvas.text({p.plot.left - 6, y}, printed(level, decimals), style);
    }
    TextStyle turned = bodyText();
    turned.align = Align::centre;
    turned.turnDeg = 90;
    canvas.text({p.plot.left - 42, p.plot.centre().y}, title, turned);
}

const Pen& windowPen() {
    static const Pen pen{Palette::curve(1), 1.4, {}};
    return pen;
}

const Pen& lowWindowPen() {
    static const Pen pen{Palette::curve(2), 1.4, {6, 2.5}};
    return pen;
}

/// The window as height above the middle, in 400 steps.
std::vector<Point> outline(const Panel& p, const Window& window, double sign) {
    std::vector<Point> points;
    for (int i = 0; i <= 400; ++i) {
        const double s = p.time.lowS + (p.time.highS - p.time.lowS) * i / 400;
        points.push_back({p.time.x(s), p.level.y(sign * window.valueAt(s))});
    }
    return points;
}

void drawWindowField(Canvas& canvas, const Panel& p, const Window& window) {
    auto field = outline(p, window, 1);
    const auto below = outline(p, window, -1);
    field.insert(field.end(), below.rbegin(), below.rend());
    canvas.fillPolygon(field, windowPen().colour.withAlpha(0.08));
}

void drawSamples(Canvas& canvas, const Panel& p, const Trace& t) {
    std::vector<Point> points;
    const std::size_t first = t.indexAt(p.time.lowS), last = t.indexAt(p.time.highS);
    for (std::size_t i = first; i < last; ++i) {
        points.push_back(
            {p.time.x(t.timeOf(i)), p.level.y(static_cast<double>(t.impulse.samples[i]) / t.peak)});
    }
    canvas.stroke(points, {Palette::ink(), 1.1, {}});
}

/// Largest level of each column of half a point.
void drawDecay(Canvas& canvas, const Panel& p, const Trace& t) {
    std::vector<Point> points;
    const auto columns = static_cast<int>(2 * p.plot.width());
    for (int c = 0; c < columns; ++c) {
        const auto timeAt = [&](int k) { return p.time.lowS + (p.time.highS - p.time.lowS) * k / columns; };
        double largest = 0;
        const std::size_t from = t.indexAt(timeAt(c)), to = t.indexAt(timeAt(c + 1));
        if (from == to) continue;
        for (std::size_t i = from; i < to; ++i)
            largest = std::max(largest, std::abs(static_cast<double>(t.impulse.samples[i])));
        points.push_back({p.time.x(timeAt(c)),
                          p.level.y(std::max(20 * std::log10(largest / t.peak + 1e-12), lowestDb - 60))});
    }
    canvas.clip(p.plot);
    canvas.stroke(points, {Palette::ink(), 0.9, {}});
    canvas.unclip();
}

void drawLinearPanel(Canvas& canvas, const Panel& p, const Trace& t) {
    canvas.fillBox(p.plot, {1, 1, 1});
    drawTimeAxis(canvas, p);
    drawLevelAxis(canvas, p, 0.5, 1, "Sample re the largest");
    drawMarks(
        canvas, p,
        {{t.impulse.arrivalS, "arrival " + milliseconds(t.impulse.arrivalS), Palette::curve(3)},
         {t.impulse.window.startS, "window begins " + milliseconds(t.impulse.window.startS),
          windowPen().colour},
         {t.impulse.window.endS, "window ends " + milliseconds(t.impulse.window.endS), windowPen().colour}});
    canvas.clip(p.plot);
    drawWindowField(canvas, p, t.impulse.window);
    canvas.stroke(outline(p, t.impulse.window, 1), windowPen());
    if (t.impulse.hasLowWindow) canvas.stroke(outline(p, t.impulse.lowWindow, 1), lowWindowPen());
    drawSamples(canvas, p, t);
    canvas.unclip();
    canvas.strokeBox(p.plot, {Palette::frame(), 0.9, {}});
    if (!t.impulse.hasLowWindow) return;
    const TextStyle style{8.4, lowWindowPen().colour, Align::right, true, 0, true};
    canvas.text({p.plot.right - 8, p.level.y(1) + 12}, "low window, below " + hertz(t.impulse.crossFadeHz),
                style);
}

/// Tints the time that a window takes.
void tintWindow(Canvas& canvas, const Panel& p, const Window& window, const Pen& pen, double alpha) {
    const double left = p.time.x(std::max(window.startS, p.time.lowS));
    const double right = std::clamp(p.time.x(window.endS), left, p.plot.right);
    canvas.fillBox({left, p.plot.top, right, p.plot.bottom}, pen.colour.withAlpha(alpha));
}

void drawDecayPanel(Canvas& canvas, const Panel& p, const Trace& t) {
    canvas.fillBox(p.plot, {1, 1, 1});
    const WindowedImpulse& i = t.impulse;
    std::vector<Mark> marks{
        {i.window.endS, "window ends " + milliseconds(i.window.endS), windowPen().colour}};
    if (i.hasLowWindow) {
        tintWindow(canvas, p, i.lowWindow, lowWindowPen(), 0.07);
        marks.push_back(
            {i.lowWindow.endS, "low window ends " + milliseconds(i.lowWindow.endS), lowWindowPen().colour});
    }
    tintWindow(canvas, p, i.window, windowPen(), 0.08);
    drawTimeAxis(canvas, p);
    drawLevelAxis(canvas, p, 20, 0, "Level re the largest, dB");
    drawMarks(canvas, p, marks);
    drawDecay(canvas, p, t);
    canvas.strokeBox(p.plot, {Palette::frame(), 0.9, {}});
    const double late = lateLevelDb(t);
    if (late <= p.level.low) return;
    canvas.line({p.plot.left, p.level.y(late)}, {p.plot.right, p.level.y(late)},
                {Palette::curve(4), 1.4, {2.6, 2}});
    const TextStyle style{8.4, Palette::curve(4), Align::right, true, 0, true};
    const double y = std::max(p.level.y(std::max(lateLargestDb(t), late)) - 11, p.plot.top + 10);
    canvas.text({p.plot.right - 8, y}, "last third of the response: " + printed(late, 1) + " dB (r.m.s.)",
                style);
}

std::string arrivalWords(const WindowedImpulse& i) {
    if (!std::isfinite(i.arrivalS)) return "The capture's arrival is not known.";
    return fmt::format("Arrival {} after time zero, as judged when the capture was taken in.",
                       milliseconds(i.arrivalS));
}

std::vector<std::string> windowStatements(const Family& family) {
    const WindowedImpulse& i = family.impulse;
    std::vector<std::string> out;
    if (i.hasLowWindow) {
        out.push_back(
            fmt::format("Below the cross-fade at {} ({} octave wide) the low window is used: it resolves "
                        "down to about {}; "
                        "above it the window, which resolves down to about {}.",
                        hertz(i.crossFadeHz), significantText(family.recipe.crossFadeOctaves, 3),
                        hertz(i.lowWindow.resolutionHz()), hertz(i.window.resolutionHz())));
    } else {
        out.push_back(fmt::format("One window for all frequencies: it resolves down to about {}.",
                                  hertz(i.window.resolutionHz())));
    }
    const std::string sign = family.polarity > 0   ? "positive"
                             : family.polarity < 0 ? "negative"
                                                   : "not known";
    out.push_back(arrivalWords(i) + " Polarity of the first arrival: " + sign + ".");
    return out;
}

}  // namespace

void drawImpulse(const Family& family, Canvas& canvas) {
    const Trace t = traceOf(family.impulse);
    const bool there = family.impulse.sampleRateHz > 0 && family.impulse.samples.size() > 1 && t.peak > 0;
    const Box content = drawPlate(
        canvas,
        wordsOf(family, FigureKind::impulse, there ? windowStatements(family) : std::vector<std::string>{}),
        "Impulse response and windows");
    if (!there) {
        const std::string why = family.onAxisMissing.empty()
                                    ? "The run has no samples of it: responses read from text have none."
                                    : family.onAxisMissing;
        sayInstead(canvas, content, "No impulse response on the axis to draw", why);
        return;
    }
    const Window& w = family.impulse.window;
    const double left = content.left + leftRoom, right = content.right - rightRoom,
                 middle = content.top + 0.47 * content.height();
    const double before = 0.06 * w.lengthS(),
                 start = std::max(w.startS - before, family.impulse.firstSampleS);
    const double longest =
        family.impulse.hasLowWindow ? std::max(w.endS, family.impulse.lowWindow.endS) : w.endS;
    const double end = std::min(longest + 0.25 * (longest - w.startS), t.lastS());
    const Box upper{left, content.top + 44, right, middle},
        lower{left, middle + 68, right, content.bottom - 34};
    const double peakS = t.timeOf(t.peakAt);
    const double linearEnd =
        std::max(std::min({w.endS + 2 * before, peakS + longestLinearS, t.lastS()}), start + 1e-4);
    drawLinearPanel(canvas, {upper, {left, right, start, linearEnd}, {upper.top, upper.bottom, -1.1, 1.1}},
                    t);
    const double floorDb = std::clamp(20 * std::floor((lateLevelDb(t) - 12) / 20), lowestDb, -60.0);
    drawDecayPanel(
        canvas,
        {lower, {left, right, std::min(start, end - 1e-4), end}, {lower.top, lower.bottom, floorDb, 0}}, t);
}

}  // namespace volvelle
