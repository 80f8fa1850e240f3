#include "Figures/Overlay.h"

#include "Families/RunLabel.h"
#include "Figures/Palette.h"
#include "Figures/Plate.h"
#include "Figures/ValuePanel.h"
#include "Figures/Words.h"
#include "Text/Error.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace volvelle {

namespace {

constexpr double figureWidth = 960, sideMargin = 22, leftRoom = 50, rightRoom = 178;
constexpr double legendLine = 14, titleRoom = 24, betweenPanels = 14, numbersRoom = 26, lastTitleRoom = 14;
constexpr double differenceHeight = 118;
constexpr double decade = (figureWidth - 2 * sideMargin - leftRoom - rightRoom) / 3;

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

bool anythingIn(const std::vector<std::vector<double>>& rows) {
    return std::any_of(rows.begin(), rows.end(), [](const auto& row) {
        return std::any_of(row.begin(), row.end(), [](double v) { return std::isfinite(v); });
    });
}

/// The curves of which something is known of some run; where nothing is of any, the first.
std::vector<const OverlayCurve*> drawnCurves(const OverlayPlate& plate) {
    std::vector<const OverlayCurve*> drawn;
    for (const OverlayCurve& curve : plate.curves)
        if (anythingIn(curve.valuesDb)) drawn.push_back(&curve);
    if (drawn.empty()) drawn.push_back(&plate.curves.front());
    return drawn;
}

/// As long as a decade of frequency: IEC 60263 has 25 dB, for one block, and 50 dB.
double decadeDb(const OverlayPlate& plate) {
    return drawnCurves(plate).size() == 1 ? 25 : 50;
}

/// A block as it will be drawn: a panel of levels, and one of differences where there are any.
struct Block {
    const OverlayCurve* curve;
    std::vector<std::vector<double>> rows, differences;
    ValueRange level, difference;
    bool hasDifferences() const { return anythingIn(differences); }
    double height(double perDb) const {
        return titleRoom + perDb * (level.highDb - level.lowDb) +
               (hasDifferences() ? betweenPanels + differenceHeight : 0) + numbersRoom;
    }
};

std::vector<Block> blocksOf(const OverlayPlate& plate) {
    std::vector<Block> blocks;
    for (const OverlayCurve* curve : drawnCurves(plate)) {
        Block b{curve, rowsOf(plate, *curve), {}, {}, {}};
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
        const Box letter = canvas.text({x + 36, y}, runLabel(r), style);
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
        labels.push_back({runLabel(r) + words, end, Palette::curvePen(r)});
    }
    drawEndLabels(canvas, labels,
                  {p.plot.right, p.plot.right + 3, p.plot.right + 24, right, p.plot.top, p.plot.bottom});
}

void drawLevels(Canvas& canvas, const OverlayPlate& plate, const Block& b, const Box& plot, double right) {
    const ValuePanel level = ValuePanel::at(plot, b.level.lowDb, b.level.highDb, plate.valid);
    const TextStyle head{10, Palette::ink(), Align::left, true, 0, false};
    canvas.text({plot.left, plot.top - 10}, wrapped(canvas, b.curve->title, head, plot.width(), 1)[0], head);
    drawValueGrid(canvas, level, 5, 10, b.curve->unit);
    if (anythingIn(b.rows)) {
        drawCurves(canvas, plate, level, b.rows, false, right);
    } else {
        sayInstead(canvas, plot, "Not known of any run", b.curve->missing);
    }
}

void drawDifferences(Canvas& canvas, const OverlayPlate& plate, const Block& b, const Box& plot,
                     double right) {
    const ValuePanel panel = ValuePanel::at(plot, b.difference.lowDb, b.difference.highDb, plate.valid);
    const double step = roundStep(2 * b.difference.highDb, 4);
    drawValueGrid(canvas, panel, step, step, "Difference to " + runLabel(plate.reference) + ", dB");
    canvas.line({plot.left, panel.value.y(0)}, {plot.right, panel.value.y(0)}, {Palette::frame(), 1, {}});
    drawCurves(canvas, plate, panel, b.differences, true, right);
}

/// Returns the bottom of the block.
double drawBlock(Canvas& canvas, const OverlayPlate& plate, const Block& b, double perDb, const Box& content,
                 double top, bool last) {
    const double left = content.left + leftRoom, right = left + 3 * decade;
    const Box levels{left, top + titleRoom, right,
                     top + titleRoom + perDb * (b.level.highDb - b.level.lowDb)};
    drawLevels(canvas, plate, b, levels, content.right);
    Box lowest = levels;
    if (b.hasDifferences()) {
        lowest = {left, levels.bottom + betweenPanels, right,
                  levels.bottom + betweenPanels + differenceHeight};
        drawDifferences(canvas, plate, b, lowest, content.right);
    }
    const ValuePanel panel = ValuePanel::at(lowest, 0, 1, plate.valid);
    drawFrequencyLabels(canvas, panel.frequency, lowest.bottom, last ? "Frequency, Hz" : "");
    return lowest.bottom + numbersRoom;
}

/// What is not drawn and why: curves of the same reason together.
std::vector<std::string> notDrawn(const OverlayPlate& plate) {
    std::vector<std::pair<std::string, std::string>> reasons;  // reason, names
    const auto add = [&](const std::string& reason, const std::string& name) {
        for (auto& [known, names] : reasons)
            if (known == reason) {
                names += ", " + name;
                return;
            }
        reasons.emplace_back(reason, name);
    };
    for (const OverlayCurve& curve : plate.curves)
        if (!anythingIn(curve.valuesDb))
            add(curve.missing.empty() ? "the reason is not stated" : curve.missing, curve.title);
    for (const Block& b : blocksOf(plate))
        if (anythingIn(b.rows) && !b.hasDifferences())
            add(runLabel(plate.reference) + " and the others are not known at the same frequencies",
                "differences of " + b.curve->title);
    std::vector<std::string> out;
    for (const auto& [reason, names] : reasons)
        out.push_back(fmt::format("Not drawn: {}. {}", names, reason));
    return out;
}

PlateWords withStatements(const OverlayPlate& plate) {
    PlateWords words = plate.words;
    for (const std::string& statement : notDrawn(plate)) words.statements.push_back(statement);
    words.statements.push_back(fmt::format(
        "Differences are to {}, at each frequency; at the right the largest of each{}.",
        runLabel(plate.reference), plate.valid.lowHz < plate.valid.highHz ? " within the valid range" : ""));
    words.statements.push_back(fmt::format(
        "Proportions of IEC 60263 in the {}: a decade is as long as {} dB.",
        drawnCurves(plate).size() == 1 ? "upper panel" : "panels of levels", printed(decadeDb(plate), 0)));
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
    requireSense(plate);
    Canvas canvas = svgCanvas(size, "overlay", figureWidth, naturalHeight(plate));
    drawOverlay(plate, canvas);
    return canvas.asSvg(titleOf(plate), plate.words.subtitle);
}

std::vector<std::byte> asPng(const OverlayPlate& plate, const PictureSize& size) {
    requireSense(plate);
    Canvas canvas = pixelCanvas(size, "overlay", figureWidth, naturalHeight(plate));
    drawOverlay(plate, canvas);
    return canvas.asPng();
}

}  // namespace volvelle
