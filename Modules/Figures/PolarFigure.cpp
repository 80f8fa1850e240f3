#include "Figures/FamilyWords.h"
#include "Figures/Kinds.h"
#include "Figures/OrbitField.h"
#include "Figures/Plate.h"
#include "Figures/Words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

constexpr double ringDb = 6, headroomDb = 3, rangeDb = 39;  // the rim lies 3 dB above the outermost ring

const Pen& penOf(Orbit orbit) {
    static const Pen flat{Palette::curve(1), 1.8, {}}, upright{Palette::curve(2), 1.8, {6, 2.4}};
    return orbit == Orbit::horizontal ? flat : upright;
}

struct Disc {
    Point centre;
    double radius, topDb;
    double radiusAt(double db) const {
        return radius * std::clamp((db - topDb + rangeDb) / rangeDb, 0.0, 1.0);
    }
    /// 0° points up, positive angles turn counter-clockwise.
    Point at(double angleDeg, double r) const {
        const double a = angleDeg * std::numbers::pi / 180;
        return {centre.x - r * std::sin(a), centre.y - r * std::cos(a)};
    }
};

void drawRings(Canvas& canvas, const Disc& d) {
    canvas.disc(d.centre, d.radius, {1, 1, 1});
    for (int angle = 0; angle < 360; angle += 30) {
        canvas.line(d.at(angle, d.radiusAt(d.topDb - rangeDb + ringDb)), d.at(angle, d.radius),
                    {Palette::gridFine(), 0.7, {}});
    }
    for (double db = d.topDb - headroomDb; db > d.topDb - rangeDb + 0.1; db -= ringDb) {
        canvas.circle(d.centre, d.radiusAt(db), {Palette::gridStrong(), std::abs(db) < 0.1 ? 1.3 : 0.6, {}});
    }
    canvas.circle(d.centre, d.radius, {Palette::frame(), 1, {}});
    TextStyle style = bodyText();
    style.size = 8;
    style.align = Align::centre;
    for (int angle = -150; angle <= 180; angle += 30) {
        const bool side = std::abs(std::sin(angle * std::numbers::pi / 180)) > 0.8;
        canvas.text(d.at(angle, d.radius + (side ? 17 : 11)), signedDegrees(angle), style);
    }
}

/// Beside the upward spoke, where a curve that is relative to the axis is at the outermost ring.
void drawRingLabels(Canvas& canvas, const Disc& d) {
    TextStyle style{7.4, Palette::quietText(), Align::centre, false, 0, false};
    const double every = d.radius * ringDb / rangeDb < 13 ? 2 * ringDb : ringDb;
    for (double db = d.topDb - headroomDb - every; db > d.topDb - rangeDb + 0.1; db -= every) {
        if (std::abs(db) > 0.1)
            canvas.text({d.centre.x + 9, d.centre.y - d.radiusAt(db)}, printed(db, 0), style);
    }
}

void drawRing(Canvas& canvas, const Disc& d, const OrbitField& field, std::size_t frequency, const Pen& pen) {
    std::vector<double> angles;
    for (int i = 0; i <= 360; ++i) angles.push_back(i - 180);
    const auto levels = field.ring(angles, frequency);
    std::vector<Point> points;
    for (std::size_t i = 0; i < angles.size(); ++i) {
        points.push_back(std::isfinite(levels[i]) ? d.at(angles[i], d.radiusAt(levels[i]))
                                                  : Point{std::nan(""), std::nan("")});
    }
    canvas.stroke(points, pen);
}

std::string widthWords(const DirectivityMap& map, std::size_t frequency) {
    if (frequency >= map.beamwidthDeg.size() || std::isnan(map.beamwidthDeg[frequency])) return "not known";
    if (std::isinf(map.beamwidthDeg[frequency])) return "none";
    return printed(map.beamwidthDeg[frequency], 0) + "\xC2\xB0";
}

/// The whole ring above which no curve of the figure reaches, at least the axis level.
double topRing(const std::vector<const OrbitField*>& fields, const std::vector<std::size_t>& frequencies) {
    double top = 0;
    for (const OrbitField* field : fields) {
        for (std::size_t a = 0; a < field->measuredDeg().size(); ++a) {
            for (const std::size_t f : frequencies) {
                const double level = field->levelAt(a, f);
                if (std::isfinite(level)) top = std::max(top, level);
            }
        }
    }
    return std::min(ringDb * std::ceil((top - 1) / ringDb), 24.0) + headroomDb;
}

void drawOne(Canvas& canvas, const Family& family, const OrbitField& flat, const OrbitField& upright,
             std::size_t f, const Disc& d) {
    drawRings(canvas, d);
    drawRingLabels(canvas, d);
    if (!flat.empty()) drawRing(canvas, d, flat, f, penOf(Orbit::horizontal));
    if (!upright.empty()) drawRing(canvas, d, upright, f, penOf(Orbit::vertical));
    const Band band = family.validity.valid();
    const double hz = family.frequencyHz[f];
    const bool outside = band.lowHz < band.highHz && (hz < band.lowHz || hz > band.highHz);
    TextStyle title{11, Palette::ink(), Align::left, true, 0, false};
    const Point corner{d.centre.x - d.radius - 24, d.centre.y - d.radius - 24};
    const Box box = canvas.text(corner, bandName(hz), title);
    if (outside) canvas.text({box.right + 6, corner.y}, "outside the valid range", smallText());
    TextStyle foot = smallText();
    foot.align = Align::centre;
    canvas.text({d.centre.x, d.centre.y + d.radius + 27},
                fmt::format("\xE2\x88\x92"
                            "6 dB width: horizontal {}, vertical {}",
                            widthWords(family.horizontal, f), widthWords(family.vertical, f)),
                foot);
}

/// One line above the discs: which line is which orbit, or that an orbit is missing.
void drawOrbitLine(Canvas& canvas, const Box& content, bool flat, bool upright) {
    double x = content.left;
    const double y = content.top + 9;
    for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical}) {
        const bool there = orbit == Orbit::horizontal ? flat : upright;
        const std::string signs = orbit == Orbit::horizontal
                                      ? "horizontal orbit, + to the left, \xE2\x88\x92 to the right"
                                      : "vertical orbit, + up, \xE2\x88\x92 down";
        TextStyle style{9.2, penOf(orbit).colour, Align::left, true, 0, false};
        if (there) canvas.line({x, y}, {x + 26, y}, penOf(orbit));
        x = canvas
                .text({x + (there ? 31 : 0), y}, there ? signs : orbitName(orbit) + " orbit: not in the run",
                      style)
                .right +
            26;
    }
}

std::vector<std::size_t> distinct(const OrbitField& field, const std::vector<double>& wantedHz) {
    std::vector<std::size_t> out;
    for (const double hz : wantedHz) {
        const std::size_t f = field.nearest(hz);
        if (std::find(out.begin(), out.end(), f) == out.end()) out.push_back(f);
    }
    return out;
}

}  // namespace

void drawPolars(const Family& family, const FigureOptions& options, Canvas& canvas) {
    const OrbitField flat(family.frequencyHz, family.horizontal),
        upright(family.frequencyHz, family.vertical);
    const bool anything = !family.frequencyHz.empty() && !(flat.empty() && upright.empty());
    std::string words =
        "Levels relative to the level on the axis (the strong ring), rings every 6 dB. Nearest frequencies "
        "of the grid; centres of third-octave bands under their nominal names.";
    for (const OrbitField* field : {&flat, &upright}) {
        if (!field->empty() && field->reference() == OrbitField::Reference::largest) {
            words += std::string(" The ") + (field == &flat ? "horizontal" : "vertical") +
                     " orbit lacks 0\xC2\xB0: its levels are relative to its largest.";
        }
    }
    const Box content = drawPlate(canvas, wordsOf(family, FigureKind::polar, {words}), "Polar curves");
    if (!anything) {
        sayInstead(canvas, content, "No polar curves to draw",
                   "Neither orbit has positions in the run for this drive.");
        return;
    }
    drawOrbitLine(canvas, content, !flat.empty(), !upright.empty());
    const auto frequencies = distinct(flat.frequencyHz().empty() ? upright : flat, options.polarHz);
    const auto n = static_cast<double>(frequencies.size());
    const double columns = n <= 3 ? n : n == 4 ? 2 : n <= 9 ? 3 : 4, rows = std::ceil(n / columns);
    const double cellWidth = content.width() / columns, cellHeight = (content.height() - 22) / rows;
    const double radius = std::min(cellWidth / 2 - 34, (cellHeight - 72) / 2);
    const double top = topRing({&flat, &upright}, frequencies);
    for (std::size_t i = 0; i < frequencies.size(); ++i) {
        const double column = std::fmod(static_cast<double>(i), columns),
                     row = std::floor(static_cast<double>(i) / columns);
        const Point centre{content.left + (column + 0.5) * cellWidth,
                           content.top + 22 + row * cellHeight + 33 + radius};
        drawOne(canvas, family, flat, upright, frequencies[i], {centre, radius, top});
    }
}

}  // namespace volvelle
