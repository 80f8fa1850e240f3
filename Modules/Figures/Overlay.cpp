#include "Figures/Overlay.h"

#include "Figures/Palette.h"
#include "Figures/Plate.h"
#include "Figures/ValuePanel.h"
#include "Figures/Words.h"
#include "Text/Error.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

constexpr double figureWidth = 960, sideMargin = 22, leftRoom = 50, rightRoom = 178;
constexpr double legendLine = 14, titleRoom = 24, betweenPanels = 14, numbersRoom = 26, lastTitleRoom = 14;
constexpr double differenceHeight = 118;
constexpr double decade = (figureWidth - 2 * sideMargin - leftRoom - rightRoom) / 3;

/// As long as a decade of frequency: IEC 60263 has 25 dB, for one block, and 50 dB.
double decadeDb(const OverlayPlate& plate) {
    return plate.curves.size() == 1 ? 25 : 50;
}

void requireSense(const OverlayPlate& plate) {
    const auto refuse = [](const std::string& what) {
        throw Error(ErrorKind::usage, what, "overlay", "Compare 2 to 6 runs in 1 to 4 curves");
    };
    if (plate.runs.size() < 2 || plate.runs.size() > 6)
        refuse(fmt::format("{} runs are not laid over each other", plate.runs.size()));
    if (plate.curves.empty() || plate.curves.size() > 4)
        refuse(fmt::format("{} curves are not drawn in one figure", plate.curves.size()));
    if (plate.reference >= plate.runs.size()) refuse("the reference is none of the runs");
    requireGrid(plate.frequencyHz, "overlay");
}

std::string letterOf(std::size_t run) {
    return std::string(1, static_cast<char>('A' + static_cast<int>(run)));
}

/// A row for each run, as long as the grid; not a number where nothing is known.
std::vector<std::vector<double>> rowsOf(const OverlayPlate& plate, const OverlayCurve& curve) {
    std::vector<std::vector<double>> rows(plate.runs.size());
    for (std::size_t r = 0; r < rows.size(); ++r) {
        if (r < curve.valuesDb.size()) rows[r] = curve.valuesDb[r];
        rows[r].resize(plate.frequencyHz.size(), std::nan(""));
    }
    return rows;
}

/// Each row less the reference's, which is empty here.
std::vector<std::vector<double>> differencesOf(const OverlayPlate& plate,
                                               const std::vector<std::vector<double>>& rows) {
    std::vector<std::vector<double>> out(rows.size());
    for (std::size_t r = 0; r < rows.size(); ++r) {
        if (r == plate.reference) continue;
        for (std::size_t i = 0; i < rows[r].size(); ++i)
            out[r].push_back(rows[r][i] - rows[plate.reference][i]);
    }
    return out;
}

/// A block as it will be drawn.
struct Block {
    const OverlayCurve* curve;
    std::vector<std::vector<double>> rows, differences;
    ValueRange level, difference;
    double height(double perDb) const {
        return titleRoom + perDb * (level.highDb - level.lowDb) + betweenPanels + differenceHeight +
               numbersRoom;
    }
};

std::vector<Block> blocksOf(const OverlayPlate& plate) {
    std::vector<Block> blocks;
    for (const OverlayCurve& curve : plate.curves) {
        Block b{&curve, rowsOf(plate, curve), {}, {}, {}};
        b.differences = differencesOf(plate, b.rows);
        b.level = levelRange(rangeOf(plate.frequencyHz, b.rows, plate.valid));
        b.difference = differenceRange(rangeOf(plate.frequencyHz, b.differences, plate.valid));
        blocks.push_back(std::move(b));
    }
    return blocks;
}

double legendHeight(const OverlayPlate& plate) {
    return legendLine * std::ceil(static_cast<double>(plate.runs.size()) / 2) + 6;
}

void drawLegend(Canvas& canvas, const OverlayPlate& plate, const Box& content) {
    const double column = content.width() / 2;
    const std::size_t lines = (plate.runs.size() + 1) / 2;
    for (std::size_t r = 0; r < plate.runs.size(); ++r) {
        const double x = content.left + (r < lines ? 0 : column);
        const double y = content.top + 8 + legendLine * static_cast<double>(r % lines);
        const Pen pen = Palette::curvePen(r);
        canvas.line({x, y}, {x + 30, y}, pen);
        const TextStyle style{9.2, pen.colour, Align::left, true, 0, false};
        const Box letter = canvas.text({x + 36, y}, letterOf(r), style);
        const TextStyle plain{9.2, Palette::ink(), Align::left, false, 0, false};
        const std::string name =
            plate.runs[r] + (r == plate.reference ? ", to which the differences are taken" : "");
        canvas.text({letter.right + 8, y}, wrapped(canvas, name, plain, x + column - letter.right - 26, 1)[0],
                    plain);
    }
}

void drawCurves(Canvas& canvas, const OverlayPlate& plate, const ValuePanel& p,
                const std::vector<std::vector<double>>& rows, bool largest, double right) {
    std::vector<EndLabel> labels;
    for (std::size_t r = 0; r < rows.size(); ++r) {  // A, the widest line, lies below
        const Point end = drawValues(canvas, p, plate.frequencyHz, rows[r], Palette::curvePen(r));
        if (!std::isfinite(end.y)) continue;
        const std::string words = largest ? " " + largestWords(plate.frequencyHz, rows[r], p.band) : "";
        labels.push_back({letterOf(r) + words, end, Palette::curvePen(r)});
    }
    drawEndLabels(canvas, labels,
                  {p.plot.right, p.plot.right + 3, p.plot.right + 24, right, p.plot.top, p.plot.bottom});
}

bool anythingIn(const std::vector<std::vector<double>>& rows) {
    return std::any_of(rows.begin(), rows.end(), [](const auto& row) {
        return std::any_of(row.begin(), row.end(), [](double v) { return std::isfinite(v); });
    });
}

/// Returns the bottom of the block.
double drawBlock(Canvas& canvas, const OverlayPlate& plate, const Block& b, double perDb, const Box& content,
                 double top, bool last) {
    const double left = content.left + leftRoom, right = left + 3 * decade;
    const double levelTop = top + titleRoom,
                 levelBottom = levelTop + perDb * (b.level.highDb - b.level.lowDb);
    const ValuePanel level =
        ValuePanel::at({left, levelTop, right, levelBottom}, b.level.lowDb, b.level.highDb, plate.valid);
    const Box lower{left, levelBottom + betweenPanels, right, levelBottom + betweenPanels + differenceHeight};
    const ValuePanel difference = ValuePanel::at(lower, b.difference.lowDb, b.difference.highDb, plate.valid);
    const TextStyle head{10, Palette::ink(), Align::left, true, 0, false};
    canvas.text({left, levelTop - 10}, wrapped(canvas, b.curve->title, head, right - left, 1)[0], head);
    drawValueGrid(canvas, level, 5, 10, b.curve->unit);
    const double step = roundStep(2 * b.difference.highDb, 4);
    drawValueGrid(canvas, difference, step, step, "Difference to " + letterOf(plate.reference) + ", dB");
    canvas.line({left, difference.value.y(0)}, {right, difference.value.y(0)}, {Palette::frame(), 1, {}});
    drawFrequencyLabels(canvas, difference.frequency, lower.bottom, last ? "Frequency, Hz" : "");
    if (anythingIn(b.rows)) {
        drawCurves(canvas, plate, level, b.rows, false, content.right);
    } else {
        sayInstead(canvas, level.plot, "Not known of any run", b.curve->missing);
    }
    if (anythingIn(b.differences)) {
        drawCurves(canvas, plate, difference, b.differences, true, content.right);
    } else {
        sayInstead(canvas, lower, "No difference can be told",
                   fmt::format("{} and the others are not known at the same frequencies.",
                               letterOf(plate.reference)));
    }
    return lower.bottom + numbersRoom;
}

PlateWords withStatements(const OverlayPlate& plate) {
    PlateWords words = plate.words;
    words.statements.push_back(fmt::format(
        "Differences are to {}, at each frequency; at the right the largest of each{}.",
        letterOf(plate.reference), plate.valid.lowHz < plate.valid.highHz ? " within the valid range" : ""));
    words.statements.push_back(fmt::format(
        "Proportions of IEC 60263 in the {}: a decade is as long as {} dB.",
        plate.curves.size() == 1 ? "upper panel" : "panels of levels", printed(decadeDb(plate), 0)));
    if (plate.valid.lowHz < plate.valid.highHz)
        words.always.insert(words.always.begin(),
                            fmt::format("Valid for all runs from {} to {}, drawn faint outside.",
                                        hertz(plate.valid.lowHz), hertz(plate.valid.highHz)));
    return words;
}

double naturalHeight(const OverlayPlate& plate) {
    double height = legendHeight(plate) + lastTitleRoom;
    for (const Block& b : blocksOf(plate)) height += b.height(decade / decadeDb(plate));
    return plateHeight(withStatements(plate), figureWidth, height);
}

std::string titleOf(const OverlayPlate& plate) {
    return fmt::format("Runs compared: {}",
                       plate.words.title.empty() ? "unit not stated" : plate.words.title);
}

}  // namespace

void drawOverlay(const OverlayPlate& plate, Canvas& canvas) {
    requireSense(plate);
    fitTo(canvas, figureWidth, naturalHeight(plate));
    const Box content = drawPlate(canvas, withStatements(plate), "Runs compared");
    drawLegend(canvas, plate, content);
    const auto blocks = blocksOf(plate);
    double top = content.top + legendHeight(plate);
    for (std::size_t i = 0; i < blocks.size(); ++i)
        top = drawBlock(canvas, plate, blocks[i], decade / decadeDb(plate), content, top,
                        i + 1 == blocks.size());
}

std::string asSvg(const OverlayPlate& plate, const PictureSize& size) {
    requireSize(size, "overlay");
    requireSense(plate);
    Canvas canvas = Canvas::svg(size.width != 0 ? size.width : figureWidth,
                                size.height != 0 ? size.height : naturalHeight(plate));
    drawOverlay(plate, canvas);
    return canvas.asSvg(titleOf(plate), plate.words.subtitle);
}

std::vector<std::byte> asPng(const OverlayPlate& plate, const PictureSize& size) {
    requireSize(size, "overlay");
    requireSense(plate);
    Canvas canvas = Canvas::pixels(size.width != 0 ? size.width : figureWidth,
                                   size.height != 0 ? size.height : naturalHeight(plate), size.scale);
    drawOverlay(plate, canvas);
    return canvas.asPng();
}

}  // namespace volvelle
