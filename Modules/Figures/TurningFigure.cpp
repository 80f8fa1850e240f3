#include "Figures/TurningFigure.h"

#include "Figures/Palette.h"
#include "Figures/Plate.h"
#include "Figures/ValuePanel.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

constexpr double figureWidth = 960, contentHeight = 430, margin = 22;
constexpr double tableRadius = 118, unitHalf = 52, shownDeg = 30;
constexpr double besidesAhead = -0.34 * unitHalf;  // clear of the rotation axis
constexpr double unstatedSizeM = 0.5;
constexpr double radians = std::numbers::pi / 180;

/// Directions of a panel seen from above: ahead is up, the unit's left is left. Angles counter-clockwise from
/// ahead.
Point at(Point centre, double radius, double angleDeg) {
    return {centre.x - radius * std::sin(angleDeg * radians),
            centre.y - radius * std::cos(angleDeg * radians)};
}

std::vector<Point> arc(Point centre, double radius, double fromDeg, double toDeg) {
    std::vector<Point> points;
    for (int i = 0; i <= 40; ++i) points.push_back(at(centre, radius, fromDeg + (toDeg - fromDeg) * i / 40));
    return points;
}

void arrowHead(Canvas& canvas, Point tip, double headingDeg, const Colour& colour) {
    const std::array<Point, 3> head{tip, at(tip, 11, headingDeg + 155), at(tip, 11, headingDeg - 155)};
    canvas.fillPolygon(head, colour);
}

/// What a unit shows upwards and to its sides when it is seen from above.
struct Faces {
    const char* left;
    const char* right;
    const char* middle;
};

/// A box whose front edge is thick; turned counter-clockwise by an angle.
void drawUnit(Canvas& canvas, Point centre, double turnedDeg, const Faces& faces, bool faint) {
    const auto corner = [&](double ahead, double left) {
        const Point along = at(centre, ahead, turnedDeg);
        return at(along, left, turnedDeg + 90);
    };
    const std::array<Point, 5> outline{corner(unitHalf, unitHalf * 0.8), corner(unitHalf, -unitHalf * 0.8),
                                       corner(-unitHalf, -unitHalf * 0.8), corner(-unitHalf, unitHalf * 0.8),
                                       corner(unitHalf, unitHalf * 0.8)};
    const Pen thin{Palette::ink(), 1.1, faint ? std::vector<double>{3, 3} : std::vector<double>{}};
    if (!faint) canvas.fillPolygon(outline, Palette::outside());
    canvas.stroke(outline, faint ? thin.faint() : thin);
    const Pen front{Palette::curve(1), 4};
    canvas.line(outline[0], outline[1], faint ? front.faint() : front);
    if (faint) return;
    TextStyle style = bodyText();
    style.align = Align::centre;
    canvas.text(corner(unitHalf - 12, 0), "front", style);
    canvas.text(corner(-unitHalf + 14, 0), faces.middle, style);
    style.align = Align::left;
    canvas.text(corner(besidesAhead, unitHalf * 0.8 - 5), faces.left, style);
    style.align = Align::right;
    canvas.text(corner(besidesAhead, -unitHalf * 0.8 + 5), faces.right, style);
}

double known(double value) {
    return std::isfinite(value) ? value : 0;
}

/// Millimetres and less are not shown.
bool liesOffAxis(const TurningPlate& plate) {
    return std::hypot(known(plate.referencePointM[0]), known(plate.referencePointM[1]),
                      known(plate.referencePointM[2])) >= 0.0005;
}

/// The rotation axis as a cross, and where the reference point lies off it: first and second offset of a
/// panel in points, the second to the left as seen.
void drawReferencePoint(Canvas& canvas, Point centre, const TurningPlate& plate, double ahead, double left) {
    if (!liesOffAxis(plate)) return;
    const double size =
        std::isfinite(plate.unitSizeM) && plate.unitSizeM > 0 ? plate.unitSizeM : unstatedSizeM;
    const double longest = std::max(std::abs(ahead), std::abs(left));
    double perM = 2 * unitHalf / size;
    if (longest * perM > unitHalf + 40) perM = (unitHalf + 40) / longest;
    const Point point{centre.x - left * perM, centre.y - ahead * perM};
    const Pen pen{Palette::ink(), 1};
    canvas.line({centre.x - 5, centre.y}, {centre.x + 5, centre.y}, pen);
    canvas.line({centre.x, centre.y - 5}, {centre.x, centre.y + 5}, pen);
    canvas.line(centre, point, {Palette::curve(3), 1});
    canvas.disc(point, 3.5, Palette::curve(3));
}

void drawMicrophone(Canvas& canvas, Point centre, const TurningPlate& plate) {
    const Point tip{centre.x, centre.y - tableRadius - 46};
    canvas.disc(tip, 5, Palette::curve(3));
    canvas.line(tip, {tip.x, tip.y - 22}, {Palette::curve(3), 3});
    canvas.line({centre.x, centre.y - unitHalf - 4}, {tip.x, tip.y + 6}, {Palette::quietText(), 0.8, {2, 3}});
    TextStyle style = bodyText();
    const std::string distance = std::isfinite(plate.distanceM)
                                     ? fmt::format("microphone, {} m", shortestText(plate.distanceM))
                                     : "microphone";
    canvas.text({tip.x + 12, tip.y - 8}, distance, style);
}

void drawTable(Canvas& canvas, Point centre, const TurningPlate& plate) {
    canvas.circle(centre, tableRadius, {Palette::frame(), 1.2});
    const double sense = plate.countsClockwise ? -1 : 1;
    const double from = sense * 55, to = sense * 125;
    const Pen pen{Palette::curve(2), 2.2};
    canvas.stroke(arc(centre, tableRadius + 14, from, to), pen);
    arrowHead(canvas, at(centre, tableRadius + 14, to + sense * 3), to + sense * 90, pen.colour);
    TextStyle style = bodyText();
    style.colour = Palette::curve(2);
    style.align = plate.countsClockwise ? Align::left : Align::right;
    const Point beside = at(centre, tableRadius + 26, sense * 90);
    canvas.text({beside.x, beside.y - 8}, "table's angle", style);
    canvas.text({beside.x, beside.y + 8}, "grows", style);
}

void drawPanel(Canvas& canvas, const Box& box, const std::string& title, const std::string& caption,
               const TurningPlate& plate, const Faces& faces, double leftOffsetM) {
    TextStyle heading = bodyText();
    heading.bold = true;
    heading.size += 2;
    canvas.text({box.left, box.top + 8}, title, heading);
    const Point centre{box.centre().x, box.top + 240};
    drawMicrophone(canvas, centre, plate);
    drawTable(canvas, centre, plate);
    drawUnit(canvas, centre, (plate.countsClockwise ? -1 : 1) * shownDeg, faces, true);
    drawUnit(canvas, centre, 0, faces, false);
    drawReferencePoint(canvas, centre, plate, known(plate.referencePointM[0]), leftOffsetM);
    TextStyle style = bodyText();
    double y = box.top + 240 + tableRadius + 34;
    for (const std::string& line : wrapped(canvas, caption, style, box.width(), 3)) {
        canvas.text({box.left, y}, line, style);
        y += 15;
    }
}

std::string signedDeg(double angle) {
    return (angle > 0 ? "+" : "−") + fixedText(std::abs(angle), 0) + "°";
}

std::string uprightCaption(const TurningPlate& plate) {
    const double seen = seenUpright(plate, shownDeg);
    return fmt::format("Table at +{}° (dashed): the microphone sees horizontal {}, the unit's {} side.",
                       fixedText(shownDeg, 0), signedDeg(seen), seen > 0 ? "left" : "right");
}

std::string onSideCaption(const TurningPlate& plate) {
    const double seen = seenOnSide(plate, shownDeg);
    return fmt::format(
        "Table at +{}° (dashed): the microphone sees vertical {}, from {}. Laid down by two people or a "
        "hoist, the table's power off.",
        fixedText(shownDeg, 0), signedDeg(seen), seen > 0 ? "above" : "below");
}

/// The second axis, seen from the unit's left side.
void drawTiltPanel(Canvas& canvas, const Box& box, const TurningPlate& plate) {
    TextStyle style = bodyText();
    TextStyle heading = style;
    heading.bold = true;
    heading.size += 2;
    canvas.text({box.left, box.top + 8}, "Upright, seen from its left side", heading);
    const Point centre{box.left + 150, box.top + 240};
    canvas.strokeBox({centre.x - 40, centre.y - unitHalf, centre.x + 40, centre.y + unitHalf},
                     {Palette::ink(), 1.1});
    canvas.line({centre.x - 40, centre.y - unitHalf}, {centre.x - 40, centre.y + unitHalf},
                {Palette::curve(1), 4});
    style.align = Align::centre;
    canvas.text({centre.x, centre.y - unitHalf + 14}, "top", style);
    drawReferencePoint(canvas, centre, plate, known(plate.referencePointM[2]),
                       known(plate.referencePointM[0]));
    const double radius = tableRadius + 26;
    canvas.stroke(arc(centre, radius, 30, 150), {Palette::curve(2), 2.2});
    arrowHead(canvas, at(centre, radius, 27), -60, Palette::curve(2));
    for (const double elevation : {-30.0, 0.0, 30.0}) {
        const Point tip = at(centre, radius, 90 - elevation);
        canvas.disc(tip, 5, elevation == 0 ? Palette::curve(3) : Palette::curve(3).withAlpha(0.4));
        TextStyle label = bodyText();
        label.align = Align::right;
        canvas.text({tip.x - 12, tip.y}, elevation == 0 ? "0°" : signedDeg(elevation), label);
    }
    TextStyle plain = bodyText();
    double y = box.top + 240 + tableRadius + 34;
    for (const std::string& line : wrapped(canvas,
                                           "The second axis raises the microphone: its angle is the "
                                           "elevation. The unit is never turned over.",
                                           plain, box.width(), 3)) {
        canvas.text({box.left, y}, line, plain);
        y += 15;
    }
}

double naturalHeight(const TurningPlate& plate) {
    return plateHeight(plate.words, figureWidth, contentHeight);
}

}  // namespace

std::string referencePointWords(const TurningPlate& plate) {
    if (!liesOffAxis(plate)) return {};
    constexpr std::array<std::array<const char*, 2>, 3> names{
        {{"ahead", "behind"}, {"to the left", "to the right"}, {"up", "down"}}};
    std::string offsets;
    for (std::size_t i = 0; i < names.size(); ++i) {
        const double offset = known(plate.referencePointM[i]);
        if (std::abs(offset) < 0.0005) continue;
        offsets += fmt::format("{}{} m {}", offsets.empty() ? "" : ", ", fixedText(std::abs(offset), 3),
                               names[i][offset < 0 ? 1 : 0]);
    }
    return fmt::format(
        "The reference point (dot) lies off the rotation axis (cross), in the unit's own directions: {}; "
        "drawn {}.",
        offsets,
        std::isfinite(plate.unitSizeM) ? "in proportion to the unit's size"
                                       : "not to scale, as the unit's size is not stated");
}

double seenUpright(const TurningPlate& plate, double tableDeg) {
    return plate.countsClockwise ? tableDeg : -tableDeg;
}

double seenOnSide(const TurningPlate& plate, double tableDeg) {
    return plate.liesOnLeftSide ? seenUpright(plate, tableDeg) : -seenUpright(plate, tableDeg);
}

void drawTurning(Canvas& canvas, const TurningPlate& plate) {
    fitTo(canvas, figureWidth, naturalHeight(plate));
    const Box content = drawPlate(canvas, plate.words, "How the table turns the unit");
    const double half = (content.width() - 2 * margin) / 2;
    const Box left{content.left + margin, content.top + 8, content.left + margin + half, content.bottom};
    const Box right{left.right + margin, left.top, content.right - margin, content.bottom};
    drawPanel(canvas, left, "Upright, seen from above", uprightCaption(plate), plate,
              {"left", "right", "rear"}, known(plate.referencePointM[1]));
    if (plate.hasTilt) return drawTiltPanel(canvas, right, plate);
    if (!plate.laidOnSide) return;
    const bool onLeft = plate.liesOnLeftSide;
    drawPanel(canvas, right, fmt::format("On its {} side, seen from above", onLeft ? "left" : "right"),
              onSideCaption(plate), plate,
              onLeft ? Faces{"top", "bottom", "rear"} : Faces{"bottom", "top", "rear"},
              (onLeft ? 1 : -1) * known(plate.referencePointM[2]));
}

std::string asSvg(const TurningPlate& plate, const PictureSize& size) {
    Canvas canvas = svgCanvas(size, "turning", figureWidth, naturalHeight(plate));
    drawTurning(canvas, plate);
    return canvas.asSvg(plate.words.title, "How the table turns the unit before the microphone");
}

std::vector<std::byte> asPng(const TurningPlate& plate, const PictureSize& size) {
    Canvas canvas = pixelCanvas(size, "turning", figureWidth, naturalHeight(plate));
    drawTurning(canvas, plate);
    return canvas.asPng();
}

}  // namespace volvelle
