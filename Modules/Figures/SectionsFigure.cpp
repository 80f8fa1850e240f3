#include "Figures/SectionsFigure.h"

#include "Figures/Palette.h"
#include "Figures/Plate.h"
#include "Figures/ValuePanel.h"
#include "Figures/Words.h"
#include "Text/Error.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace volvelle {

namespace {

constexpr double figureWidth = 960, sideMargin = 22, leftRoom = 46, rightRoom = 12, betweenColumns = 12;
constexpr double legendRoom = 26, titleRoom = 24, betweenPanels = 14, differenceHeight = 74, numbersRoom = 30,
                 lastTitleRoom = 10;

struct Line {
    const char* name;
    Pen pen;
};

const std::array<Line, 3>& lines() {
    static const std::array<Line, 3> all{{{"measured whole", Palette::curvePen(0)},
                                          {"coherent sum", {Palette::curve(1), 1.1, {}}},
                                          {"power sum", Palette::curvePen(2)}}};
    return all;
}

void requireSense(const SectionsPlate& plate) {
    if (plate.curves.empty() || plate.curves.size() > 6)
        throw Error(ErrorKind::usage,
                    fmt::format("{} curves are not drawn in one figure", plate.curves.size()), "sections",
                    "Choose 1 to 6 curves");
    requireGrid(plate.frequencyHz, "sections");
}

/// How the panels are set out: one wide column or two.
struct Grid {
    static constexpr double decadeDb = 25;  // IEC 60263: as long as a decade
    double columns, rows, plotWidth;
    explicit Grid(const SectionsPlate& plate) {
        columns = plate.curves.size() == 1 ? 1 : 2;
        rows = std::ceil(static_cast<double>(plate.curves.size()) / columns);
        const double width = (figureWidth - 2 * sideMargin - (columns - 1) * betweenColumns) / columns;
        plotWidth = width - leftRoom - rightRoom;
    }
    double perDb() const { return plotWidth / 3 / decadeDb; }
    double pitch() const { return plotWidth + leftRoom + rightRoom + betweenColumns; }
};

std::vector<double> differenceOf(const SectionsPlate& plate, const SectionsCurve& c) {
    std::vector<double> out(plate.frequencyHz.size(), std::nan(""));
    for (std::size_t i = 0; i < std::min({out.size(), c.whole.size(), c.coherentSum.size()}); ++i)
        out[i] = c.whole[i] - c.coherentSum[i];
    return out;
}

/// Curves of one unit share their range, so that they can be compared.
ValueRange rangeFor(const SectionsPlate& plate, const std::string& unit) {
    std::vector<std::vector<double>> values;
    for (const SectionsCurve& c : plate.curves)
        if (c.unit == unit) values.insert(values.end(), {c.whole, c.coherentSum, c.powerSum});
    return levelRange(rangeOf(plate.frequencyHz, values, plate.valid));
}

ValueRange rangeOfDifferences(const SectionsPlate& plate) {
    std::vector<std::vector<double>> values;
    for (const SectionsCurve& c : plate.curves) values.push_back(differenceOf(plate, c));
    return differenceRange(rangeOf(plate.frequencyHz, values, plate.valid));
}

/// Decibels that the tallest panel of a row holds.
double rowDb(const SectionsPlate& plate, std::size_t row, std::size_t columns) {
    double db = 20;
    for (std::size_t i = row * columns; i < std::min((row + 1) * columns, plate.curves.size()); ++i) {
        const ValueRange range = rangeFor(plate, plate.curves[i].unit);
        db = std::max(db, range.highDb - range.lowDb);
    }
    return db;
}

double rowHeight(const SectionsPlate& plate, const Grid& grid, std::size_t row) {
    return titleRoom + grid.perDb() * rowDb(plate, row, static_cast<std::size_t>(grid.columns)) +
           betweenPanels + differenceHeight + numbersRoom;
}

bool isKnown(const std::vector<double>& values) {
    return std::any_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
}

void drawLegend(Canvas& canvas, const Box& content) {
    double x = content.left;
    const double y = content.top + 10;
    for (const Line& line : lines()) {
        canvas.line({x, y}, {x + 30, y}, line.pen);
        const TextStyle style{9.2, line.pen.colour, Align::left, true, 0, false};
        x = canvas.text({x + 36, y}, line.name, style).right + 28;
    }
    const TextStyle quiet{9.2, Palette::quietText(), Align::left, false, 0, false};
    canvas.text({x, y}, "lower panels: measured whole less coherent sum", quiet);
}

/// The curve's title, and at the right the largest difference.
void drawTitle(Canvas& canvas, const SectionsCurve& c, const Box& upper, const std::string& largest) {
    TextStyle right = bodyText();
    right.align = Align::right;
    const Box box = canvas.text({upper.right, upper.top - 10}, "largest difference " + largest, right);
    const TextStyle head{10, Palette::ink(), Align::left, true, 0, false};
    canvas.text({upper.left, upper.top - 10},
                wrapped(canvas, c.title, head, box.left - 12 - upper.left, 1)[0], head);
}

void drawLevels(Canvas& canvas, const SectionsPlate& plate, const SectionsCurve& c, const ValuePanel& p) {
    drawValueGrid(canvas, p, 5, 10, c.unit);
    const std::vector<double>* values[] = {&c.whole, &c.coherentSum, &c.powerSum};
    bool anything = false;
    for (const std::size_t k : {2u, 0u, 1u}) {  // the sum, thinner, over the whole
        anything = anything || isKnown(*values[k]);
        drawValues(canvas, p, plate.frequencyHz, *values[k], lines()[k].pen);
    }
    if (!anything) sayInstead(canvas, p.plot, "Not known", c.missing);
}

void drawCell(Canvas& canvas, const SectionsPlate& plate, const SectionsCurve& c, const Box& upper,
              const ValueRange& differences, bool titled) {
    const ValueRange range = rangeFor(plate, c.unit);
    drawLevels(canvas, plate, c, ValuePanel::at(upper, range.lowDb, range.highDb, plate.valid));
    const Box lower{upper.left, upper.bottom + betweenPanels, upper.right,
                    upper.bottom + betweenPanels + differenceHeight};
    const ValuePanel p = ValuePanel::at(lower, differences.lowDb, differences.highDb, plate.valid);
    const double step = roundStep(2 * differences.highDb, 3);
    drawValueGrid(canvas, p, step, step, "Difference, dB");
    canvas.line({lower.left, p.value.y(0)}, {lower.right, p.value.y(0)}, {Palette::frame(), 1, {}});
    drawFrequencyLabels(canvas, p.frequency, lower.bottom, titled ? "Frequency, Hz" : "");
    const auto less = differenceOf(plate, c);
    drawValues(canvas, p, plate.frequencyHz, less, Palette::curvePen(0));
    drawTitle(canvas, c, upper, largestWords(plate.frequencyHz, less, p.band));
    if (!isKnown(less))
        sayInstead(canvas, lower, "No difference can be told",
                   c.missing.empty() ? "Whole or coherent sum is not known." : c.missing);
}

PlateWords withStatements(const SectionsPlate& plate) {
    PlateWords words = plate.words;
    for (const SectionsCurve& c : plate.curves) {
        const bool partly = !c.missing.empty() && (isKnown(c.whole) || isKnown(c.coherentSum));
        if (partly) words.statements.push_back(c.title + ": " + c.missing);
    }
    words.statements.push_back(fmt::format(
        "Coherent sum: of complex pressures of the sections measured apart; power sum: of their squared "
        "pressures. Proportions of IEC 60263 in the panels of levels: a decade is as long as {} dB.",
        printed(Grid::decadeDb, 0)));
    if (plate.valid.lowHz < plate.valid.highHz)
        words.always.insert(words.always.begin(),
                            fmt::format("Valid for all drives from {} to {}, drawn faint outside.",
                                        hertz(plate.valid.lowHz), hertz(plate.valid.highHz)));
    return words;
}

double naturalHeight(const SectionsPlate& plate) {
    const Grid grid(plate);
    double height = legendRoom + lastTitleRoom;
    for (std::size_t row = 0; row < static_cast<std::size_t>(grid.rows); ++row)
        height += rowHeight(plate, grid, row);
    return plateHeight(withStatements(plate), figureWidth, height);
}

std::string titleOf(const SectionsPlate& plate) {
    return "Whole and sum of sections: " +
           (plate.words.title.empty() ? "unit not stated" : plate.words.title);
}

}  // namespace

void drawSections(const SectionsPlate& plate, Canvas& canvas) {
    requireSense(plate);
    fitTo(canvas, figureWidth, naturalHeight(plate));
    const Box content = drawPlate(canvas, withStatements(plate), "Whole and sum of sections");
    drawLegend(canvas, content);
    const Grid grid(plate);
    const auto columns = static_cast<std::size_t>(grid.columns);
    const ValueRange differences = rangeOfDifferences(plate);
    double top = content.top + legendRoom;
    for (std::size_t i = 0; i < plate.curves.size(); ++i) {
        const std::size_t row = i / columns;
        if (i > 0 && i % columns == 0) top += rowHeight(plate, grid, row - 1);
        const ValueRange range = rangeFor(plate, plate.curves[i].unit);
        const double left = content.left + static_cast<double>(i % columns) * grid.pitch() + leftRoom;
        const double bottom = top + titleRoom + grid.perDb() * rowDb(plate, row, columns);
        const double high = grid.perDb() * (range.highDb - range.lowDb);
        const Box upper{left, bottom - high, left + grid.plotWidth, bottom};
        const bool lowest = i + columns >= plate.curves.size();
        drawCell(canvas, plate, plate.curves[i], upper, differences, lowest);
    }
}

std::string asSvg(const SectionsPlate& plate, const PictureSize& size) {
    requireSense(plate);
    Canvas canvas = svgCanvas(size, "sections", figureWidth, naturalHeight(plate));
    drawSections(plate, canvas);
    return canvas.asSvg(titleOf(plate), plate.words.subtitle);
}

std::vector<std::byte> asPng(const SectionsPlate& plate, const PictureSize& size) {
    requireSense(plate);
    Canvas canvas = pixelCanvas(size, "sections", figureWidth, naturalHeight(plate));
    drawSections(plate, canvas);
    return canvas.asPng();
}

}  // namespace volvelle
