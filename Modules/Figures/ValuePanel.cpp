#include "Figures/ValuePanel.h"

#include "Figures/Palette.h"
#include "Figures/Plate.h"
#include "Figures/Words.h"
#include "Text/Error.h"
#include "Text/Number.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

namespace volvelle {

namespace {

constexpr double lowestHz = 20, highestHz = 20000;

}  // namespace

ValuePanel ValuePanel::at(const Box& plot, double lowDb, double highDb, const Band& valid) {
    const FrequencyAxis frequency{plot.left, plot.right, lowestHz, highestHz};
    return {plot, frequency, {plot.top, plot.bottom, lowDb, highDb}, drawnBand(valid, frequency)};
}

ValueRange rangeOf(const std::vector<double>& frequencyHz, const std::vector<std::vector<double>>& values,
                   const Band& valid) {
    const Band band = drawnBand(valid, {0, 1, lowestHz, highestHz});
    ValueRange range{std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity()};
    for (const auto& row : values) {
        for (std::size_t i = 0; i < std::min(row.size(), frequencyHz.size()); ++i) {
            const bool counts = frequencyHz[i] >= band.lowHz && frequencyHz[i] <= band.highHz;
            if (!counts || !std::isfinite(row[i])) continue;
            range.lowDb = std::min(range.lowDb, row[i]);
            range.highDb = std::max(range.highDb, row[i]);
        }
    }
    return range;
}

ValueRange levelRange(const ValueRange& data) {
    if (!(data.lowDb <= data.highDb)) return {50, 100};
    double high = std::ceil((data.highDb + 0.5) / 5) * 5, low = std::floor((data.lowDb + 0.3) / 5) * 5;
    for (bool up = true; high - low < 20; up = !up) (up ? high : low) += up ? 5 : -5;
    return {std::max(low, high - 50), high};
}

ValueRange differenceRange(const ValueRange& data) {
    const double largest =
        data.lowDb <= data.highDb ? std::max(std::abs(data.lowDb), std::abs(data.highDb)) : 0;
    for (const double high : {0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 15.0})
        if (largest <= 0.97 * high) return {-high, high};
    return {-20, 20};
}

void drawValueGrid(Canvas& canvas, const ValuePanel& p, double stepDb, double numberEveryDb,
                   const std::string& title) {
    drawGround(canvas, p.plot, p.frequency, p.band);
    drawFrequencyLines(canvas, p.plot, p.frequency);
    TextStyle style = bodyText();
    style.align = Align::right;
    for (const double db : p.value.multiplesOf(stepDb)) {
        const bool strong = std::abs(std::remainder(db, numberEveryDb)) < 1e-6;
        canvas.line({p.plot.left, p.value.y(db)}, {p.plot.right, p.value.y(db)},
                    {strong ? Palette::gridStrong() : Palette::gridFine(), strong ? 0.9 : 0.6, {}});
        if (strong)
            canvas.text({p.plot.left - 6, p.value.y(db)}, printed(db, numberEveryDb < 1 ? 1 : 0), style);
    }
    canvas.strokeBox(p.plot, {Palette::frame(), 0.9, {}});
    TextStyle turned = bodyText();
    turned.align = Align::centre;
    turned.turnDeg = 90;
    canvas.text({p.plot.left - 36, p.plot.centre().y},
                wrapped(canvas, title, bodyText(), p.plot.height(), 1)[0], turned);
}

Point drawValues(Canvas& canvas, const ValuePanel& p, const std::vector<double>& frequencyHz,
                 const std::vector<double>& values, const Pen& pen) {
    std::vector<Point> points;
    Point end{std::nan(""), std::nan("")};
    for (std::size_t i = 0; i < std::min(frequencyHz.size(), values.size()); ++i) {
        points.push_back({p.frequency.x(frequencyHz[i]), p.value.y(values[i])});
        if (std::isfinite(points.back().y) && points.back().x <= p.plot.right + 0.5) end = points.back();
    }
    drawCurve(canvas, p.plot, points, p.frequency.x(p.band.lowHz), p.frequency.x(p.band.highHz), pen);
    return end;
}

std::string largestWords(const std::vector<double>& frequencyHz, const std::vector<double>& valuesDb,
                         const Band& band) {
    std::optional<std::size_t> at;
    for (std::size_t i = 0; i < std::min(valuesDb.size(), frequencyHz.size()); ++i) {
        const bool counts =
            std::isfinite(valuesDb[i]) && frequencyHz[i] >= band.lowHz && frequencyHz[i] <= band.highHz;
        if (counts && (!at || std::abs(valuesDb[i]) > std::abs(valuesDb[*at]))) at = i;
    }
    if (!at) return "not known";
    const double rounded = std::round(valuesDb[*at] * 100) / 100;
    if (rounded == 0) return "below 0.01 dB";
    return (rounded > 0 ? "+" : "") + printed(rounded, 2) + " dB at " + hertz(frequencyHz[*at]);
}

void fitTo(Canvas& canvas, double width, double height) {
    canvas.shrink(std::min({1.0, canvas.width() / width, canvas.height() / height}));
}

void requireGrid(const std::vector<double>& frequencyHz, const char* figure) {
    for (std::size_t i = 0; i < frequencyHz.size(); ++i) {
        const bool grows =
            frequencyHz[i] > (i == 0 ? 0 : frequencyHz[i - 1]) && std::isfinite(frequencyHz[i]);
        if (!grows)
            throw Error(ErrorKind::usage, "the frequencies of a figure do not grow from above 0", figure,
                        "Give them in growing order");
    }
}

namespace {

void requireSize(const PictureSize& size, const char* figure) {
    const auto require = [&](double value, const Range& range, const char* field) {
        requireInRange(value, range, {ErrorKind::usage, figure, field, ""});
    };
    if (size.width != 0) require(size.width, Range::between(100, 10000), "width in points");
    if (size.height != 0) require(size.height, Range::between(100, 10000), "height in points");
    require(size.scale, Range::between(0.25, 8), "pixels per point");
}

/// With what is not asked for filled in.
PictureSize filledIn(const PictureSize& size, const char* figure, double ownWidth, double ownHeight) {
    requireSize(size, figure);
    const double width = size.width != 0 ? size.width : ownWidth;
    const double height = size.height != 0 ? size.height : ownHeight * std::min(1.0, width / ownWidth);
    return {width, height, size.scale};
}

}  // namespace

Canvas svgCanvas(const PictureSize& size, const char* figure, double ownWidth, double ownHeight) {
    const PictureSize full = filledIn(size, figure, ownWidth, ownHeight);
    return Canvas::svg(full.width, full.height);
}

Canvas pixelCanvas(const PictureSize& size, const char* figure, double ownWidth, double ownHeight) {
    const PictureSize full = filledIn(size, figure, ownWidth, ownHeight);
    return Canvas::pixels(full.width, full.height, full.scale);
}

}  // namespace volvelle
