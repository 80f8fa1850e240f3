#include "Figures/MapPanel.h"
#include "Figures/Palette.h"
#include "Figures/Plate.h"
#include "Figures/SectionsFigure.h"
#include "Figures/ValuePanel.h"
#include "Figures/Words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace volvelle {

namespace {

constexpr double figureWidth = 900, leftRoom = 66, rightRoom = 118;
constexpr double headRoom = 22, mapHeight = 214, betweenMaps = 44, numbersRoom = 22, lineHeadRoom = 26,
                 lineHeight = 150, bottomRoom = 36;
constexpr double standsOutDb = 6;  // above the floor: twice as strong as what would be there anyway
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

const std::vector<ContourStyle>& contourStyles() {
    static const std::vector<ContourStyle> styles{{-20, {Palette::paper(), 1.4, {}}},
                                                  {-40, {Palette::ink(), 1.2, {2.4, 2}}}};
    return styles;
}

/// The largest over the directions of both orbits, and the floor there.
struct Largest {
    std::vector<double> differenceDb, floorDb;
};

Largest largestOf(const InteractionPlate& plate) {
    const std::size_t n = plate.frequencyHz.size();
    Largest out{plate.largestDb, plate.floorDb};
    if (out.differenceDb.empty()) {
        out = {std::vector<double>(n, nan), std::vector<double>(n, nan)};
        for (const InteractionOrbit* orbit : {&plate.horizontal, &plate.vertical}) {
            for (std::size_t a = 0; a < orbit->differenceDb.size(); ++a) {
                const auto& row = orbit->differenceDb[a];
                for (std::size_t f = 0; f < std::min(n, row.size()); ++f) {
                    if (!std::isfinite(row[f]) || row[f] <= out.differenceDb[f]) continue;
                    const bool floor = a < orbit->floorDb.size() && f < orbit->floorDb[a].size();
                    out.differenceDb[f] = row[f];
                    out.floorDb[f] = floor ? orbit->floorDb[a][f] : nan;
                }
            }
        }
    }
    out.differenceDb.resize(n, nan);
    out.floorDb.resize(n, nan);
    return out;
}

bool isKnown(const std::vector<double>& values) {
    return std::any_of(values.begin(), values.end(), [](double v) { return std::isfinite(v); });
}

bool hasFloor(const InteractionPlate& plate) {
    const auto any = [](const InteractionOrbit& orbit) {
        return std::any_of(orbit.floorDb.begin(), orbit.floorDb.end(), isKnown);
    };
    return any(plate.horizontal) || any(plate.vertical) || isKnown(largestOf(plate).floorDb);
}

/// How far the difference stands above what has to be overcome, on the rows of the map; not a number where no
/// floor is known.
std::vector<std::vector<double>> marginRows(const InteractionPlate& plate, const InteractionOrbit& orbit) {
    auto margin = orbit.differenceDb;
    for (std::size_t a = 0; a < margin.size(); ++a) {
        for (std::size_t f = 0; f < margin[a].size(); ++f) {
            const bool known = a < orbit.floorDb.size() && f < orbit.floorDb[a].size();
            margin[a][f] -= known ? orbit.floorDb[a][f] + standsOutDb : nan;
        }
    }
    return OrbitField::ofGiven(plate.frequencyHz, orbit.angleDeg, margin).rows(mapRowStepDeg);
}

/// What stands out of the floor in one map: of its measured angles and the frequencies of the valid range.
struct Standing {
    double points = 0, out = 0;  ///< those with a floor; those that stand standsOutDb above it
    double mostDb = nan, atHz = 0, atDeg = 0;  ///< the one furthest above
    double share() const { return out / points; }

    /// No more than chance leaves where nothing interacts: squared magnitudes of noise are distributed
    /// exponentially, so that e^-4 = 1.8 % of them lie 6 dB above their mean and the largest of 15000 near
    /// 10 lg ln 15000 = 9.8 dB; the floor itself is an estimate, true to a few dB.
    bool isChance() const { return share() < 0.05 && mostDb < 15; }
};

Standing standingIn(const InteractionPlate& plate, const InteractionOrbit& orbit) {
    Standing found;
    const bool known = plate.valid.lowHz < plate.valid.highHz;
    for (std::size_t a = 0; a < std::min(orbit.floorDb.size(), orbit.differenceDb.size()); ++a) {
        const auto &row = orbit.differenceDb[a], &floor = orbit.floorDb[a];
        for (std::size_t f = 0; f < std::min({row.size(), floor.size(), plate.frequencyHz.size()}); ++f) {
            const double hz = plate.frequencyHz[f], above = row[f] - floor[f];
            if (!std::isfinite(above) || (known && (hz < plate.valid.lowHz || hz > plate.valid.highHz)))
                continue;
            ++found.points;
            if (above >= standsOutDb) ++found.out;
            if (above <= found.mostDb) continue;
            found.mostDb = above;
            found.atHz = hz;
            found.atDeg = orbit.angleDeg[a];
        }
    }
    return found;
}

std::string percent(double share) {
    return share <= 0 ? "none" : share < 0.001 ? "less than 0.1 %" : printed(100 * share, share < 0.1 ? 1 : 0) + " %";
}

std::string standingWords(const Standing& s) {
    return fmt::format("{} of it stands {} dB above the floor, at most {} dB ({}, {})", percent(s.share()),
                       printed(standsOutDb, 0), printed(s.mostDb, 1), hertz(s.atHz), signedDegrees(s.atDeg));
}

void drawField(Canvas& canvas, const InteractionPlate& plate, const InteractionOrbit& orbit,
               const MapPanel& p, const OrbitField& field) {
    auto rows = field.rows(mapRowStepDeg);
    const auto margin = marginRows(plate, orbit);
    drawMapField(canvas, p, plate.frequencyHz, rows, margin, [](double level, double above) {
        return above < 0 ? DifferenceColours::veiledRgbAt(level) : DifferenceColours::rgbAt(level);
    });
    drawMapLines(canvas, p, drawnBand(plate.valid, p.frequency));
    if (const Standing s = standingIn(plate, orbit); s.points > 0 && s.isChance()) {
        sayInstead(canvas, p.plot, "Nothing stands out of the floor",
                   "What is seen here is no more than chance leaves of sections that do not interact.");
        return;
    }
    for (std::size_t r = 0; r < rows.size(); ++r)
        for (std::size_t f = 0; f < rows[r].size(); ++f)
            if (margin[r][f] < 0) rows[r][f] = nan;
    drawMapContours(canvas, p, plate.frequencyHz, rows, contourStyles());
}

void drawMap(Canvas& canvas, const InteractionPlate& plate, const InteractionOrbit& orbit, Orbit which,
             const MapPanel& p) {
    const auto field = OrbitField::ofGiven(plate.frequencyHz, orbit.angleDeg, orbit.differenceDb);
    const TextStyle head{9.5, Palette::ink(), Align::left, true, 0, false};
    canvas.text({p.plot.left, p.plot.top - 10},
                which == Orbit::horizontal ? "Horizontal orbit" : "Vertical orbit", head);
    if (const Standing s = standingIn(plate, orbit); s.points > 0) {
        TextStyle right = bodyText();
        right.align = Align::right;
        canvas.text({p.plot.right, p.plot.top - 10}, standingWords(s), right);
    }
    if (!field.empty() && plate.frequencyHz.size() >= 2) {
        drawField(canvas, plate, orbit, p, field);
    } else {
        drawGround(canvas, p.plot, p.frequency, drawnBand(plate.valid, p.frequency));
        drawMapLines(canvas, p, {p.frequency.lowHz, p.frequency.highHz});
        sayInstead(canvas, p.plot, "No map of the " + orbitName(which) + " orbit", orbit.missing);
    }
    drawMapAngles(canvas, p, field.measuredDeg(), which);
    drawFrequencyLabels(canvas, p.frequency, p.plot.bottom, "");
}

/// 20 dB steps about what is there, at most 100 dB.
ValueRange lineRange(const InteractionPlate& plate, const Largest& largest) {
    const ValueRange data = rangeOf(plate.frequencyHz, {largest.differenceDb, largest.floorDb}, plate.valid);
    if (!(data.lowDb <= data.highDb)) return {-60, 0};
    const double high = std::clamp(20 * std::ceil((data.highDb + 2) / 20), -60.0, 20.0);
    return {std::clamp(20 * std::floor((data.lowDb - 2) / 20), high - 100, high - 40), high};
}

void drawLines(Canvas& canvas, const InteractionPlate& plate, const Box& plot, double right) {
    const Largest largest = largestOf(plate);
    const ValueRange range = lineRange(plate, largest);
    const ValuePanel p = ValuePanel::at(plot, range.lowDb, range.highDb, plate.valid);
    const TextStyle head{9.5, Palette::ink(), Align::left, true, 0, false};
    canvas.text({plot.left, plot.top - 10},
                plate.largestDb.empty() ? "Largest over the directions of both orbits"
                                        : "Largest over all directions",
                head);
    drawValueGrid(canvas, p, 10, 20, "dB re the loudest direction");
    drawFrequencyLabels(canvas, p.frequency, plot.bottom, "Frequency, Hz");
    std::vector<EndLabel> labels;
    const Pen floorPen = Palette::curvePen(4), linePen = Palette::curvePen(0);
    const Point floorEnd = drawValues(canvas, p, plate.frequencyHz, largest.floorDb, floorPen);
    const Point end = drawValues(canvas, p, plate.frequencyHz, largest.differenceDb, linePen);
    if (std::isfinite(end.y)) labels.push_back({"|whole \xE2\x88\x92 sum|", end, linePen});
    if (std::isfinite(floorEnd.y)) labels.push_back({"floor there", floorEnd, floorPen});
    drawEndLabels(canvas, labels,
                  {plot.right, plot.right + 3, plot.right + 14, right, plot.top, plot.bottom});
    if (labels.empty()) sayInstead(canvas, plot, "No difference can be told", plate.horizontal.missing);
}

/// A patch of the key for what does not stand above the floor.
void drawVeilKey(Canvas& canvas, const Box& patch, double right) {
    const auto& edges = DifferenceColours::edgesDb();
    const LevelAxis axis{patch.top, patch.bottom, edges.front() - 5, edges.back()};
    for (const double edge : edges)
        canvas.fillBox({patch.left, axis.y(edge), patch.right, axis.y(edge - 5)},
                       DifferenceColours::veiledAt(edge - 2.5));
    canvas.strokeBox(patch, {Palette::frame(), 0.8, {}});
    double y = patch.top + 1;
    for (const std::string& line :
         wrapped(canvas, fmt::format("less than {} dB above the floor", printed(standsOutDb, 0)), bodyText(),
                 right - patch.right - 6, 3)) {
        canvas.text({patch.right + 6, y}, line, bodyText());
        y += 11;
    }
}

/// Of n squared magnitudes of noise (exponentially distributed) the largest is expected at 1 + 1/2 + ... 1/n of
/// their mean (handbook of statistics).
double largestByChanceDb(std::size_t n) {
    double sum = 0;
    for (std::size_t k = 1; k <= n; ++k) sum += 1 / static_cast<double>(k);
    return 10 * std::log10(sum);
}

std::string floorThereWords(const InteractionPlate& plate) {
    std::string words =
        "Floor there: in the direction of the largest difference, with which it changes from frequency to "
        "frequency";
    const std::size_t directions = plate.horizontal.angleDeg.size() + plate.vertical.angleDeg.size();
    if (plate.largestDb.empty() && directions > 1)
        words += fmt::format("; of {} directions chance alone lifts the largest some {} dB above it", directions,
                             printed(largestByChanceDb(directions), 0));
    return words + ".";
}

PlateWords withStatements(const InteractionPlate& plate) {
    PlateWords words = plate.words;
    std::vector<std::string> own{
        "Magnitude of the complex difference of measured whole and coherent sum, relative to the whole in its "
        "loudest direction at each frequency; between the measured angles (ticks at the right rim) interpolated."};
    if (!hasFloor(plate)) {
        own.emplace_back(
            "The floor is not known: nothing says how much of this sections without interaction would show.");
    } else {
        own.push_back(fmt::format("Floor, what sections that do not interact would show: {}.",
                                  plate.floorName.empty() ? "its parts are not stated" : plate.floorName));
        own.push_back(floorThereWords(plate));
    }
    words.statements.insert(words.statements.begin(), own.begin(), own.end());
    if (plate.valid.lowHz < plate.valid.highHz)
        words.always.insert(words.always.begin(),
                            fmt::format("Valid for all drives from {} to {}, drawn faint outside.",
                                        hertz(plate.valid.lowHz), hertz(plate.valid.highHz)));
    return words;
}

double naturalHeight(const InteractionPlate& plate) {
    return plateHeight(
        withStatements(plate), figureWidth,
        headRoom + 2 * mapHeight + betweenMaps + numbersRoom + lineHeadRoom + lineHeight + bottomRoom);
}

std::string titleOf(const InteractionPlate& plate) {
    return "Interaction of sections: " + (plate.words.title.empty() ? "unit not stated" : plate.words.title);
}

}  // namespace

void drawInteraction(const InteractionPlate& plate, Canvas& canvas) {
    requireGrid(plate.frequencyHz, "interaction");
    fitTo(canvas, figureWidth, naturalHeight(plate));
    const Box content = drawPlate(canvas, withStatements(plate), "Interaction of sections");
    const double left = content.left + leftRoom, right = content.right - rightRoom;
    const double first = content.top + headRoom, second = first + mapHeight + betweenMaps,
                 third = second + mapHeight + numbersRoom + lineHeadRoom;
    drawMap(canvas, plate, plate.horizontal, Orbit::horizontal,
            MapPanel::at({left, first, right, first + mapHeight}));
    drawMap(canvas, plate, plate.vertical, Orbit::vertical,
            MapPanel::at({left, second, right, second + mapHeight}));
    drawLines(canvas, plate, {left, third, right, third + lineHeight}, content.right);
    const double keyLeft = right + 24, keyBottom = second + mapHeight - 60;
    drawMapKey(canvas, {keyLeft, first + 10, keyLeft + 16, keyBottom}, DifferenceColours::edgesDb(),
               DifferenceColours::at, contourStyles(),
               "|whole \xE2\x88\x92 sum| re the loudest direction, dB");
    if (hasFloor(plate))
        drawVeilKey(canvas, {keyLeft, keyBottom + 22, keyLeft + 16, keyBottom + 50}, content.right);
}

std::string asSvg(const InteractionPlate& plate, const PictureSize& size) {
    requireGrid(plate.frequencyHz, "interaction");
    Canvas canvas = svgCanvas(size, "interaction", figureWidth, naturalHeight(plate));
    drawInteraction(plate, canvas);
    return canvas.asSvg(titleOf(plate), plate.words.subtitle);
}

std::vector<std::byte> asPng(const InteractionPlate& plate, const PictureSize& size) {
    requireGrid(plate.frequencyHz, "interaction");
    Canvas canvas = pixelCanvas(size, "interaction", figureWidth, naturalHeight(plate));
    drawInteraction(plate, canvas);
    return canvas.asPng();
}

}  // namespace volvelle
