#include "Figures/Plate.h"

#include "Figures/LabelSpread.h"
#include "Figures/Words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace volvelle {

namespace {

constexpr double margin = 22, lineHeight = 11.5, contentTop = 66, aboveFoot = 4, belowFoot = 20;
constexpr std::size_t mostFootLines = 9;

std::string statedOr(const std::string& text, const std::string& otherwise) {
    return text.empty() ? otherwise : text;
}

/// The text, cut with an ellipsis if it is wider.
std::string fitted(const Canvas& canvas, const std::string& text, const TextStyle& style, double width) {
    return wrapped(canvas, text, style, width, 1).at(0);
}

void drawHeading(Canvas& canvas, const PlateWords& words, const std::string& kind) {
    const double right = canvas.width() - margin;
    TextStyle kindStyle{10.5, Palette::quietText(), Align::right, false, 0, false};
    const Box kindBox = canvas.text({right, 27}, kind, kindStyle);
    TextStyle title{14.5, Palette::ink(), Align::left, true, 0, false};
    canvas.text({margin, 27},
                fitted(canvas, statedOr(words.title, "not stated"), title, kindBox.left - 20 - margin),
                title);
    TextStyle second{9.5, Palette::ink(), Align::left, false, 0, false};
    canvas.text({margin, 46}, fitted(canvas, words.subtitle, second, right - margin), second);
    canvas.line({margin, 58}, {right, 58}, {Palette::ink(), 0.9, {}});
}

std::vector<std::string> footLines(const Canvas& canvas, const PlateWords& words) {
    std::vector<std::string> paragraphs = words.statements;
    for (const std::string& note : words.notes) paragraphs.push_back("Note: " + note);
    std::vector<std::string> lines;
    const double width = canvas.width() - 2 * margin;
    std::size_t shown = 0;
    for (const std::string& p : paragraphs) {
        const auto more = wrapped(canvas, p, smallText(), width, 3);
        if (lines.size() + more.size() > mostFootLines - 1) break;
        lines.insert(lines.end(), more.begin(), more.end());
        ++shown;
    }
    const std::size_t left = paragraphs.size() - shown;
    if (left > 0)
        lines.push_back(fmt::format("\xE2\x80\xA6 and {} more {}: the table has them all.", left,
                                    left == 1 ? "note" : "notes"));
    for (const std::string& paragraph : words.always) {
        for (const std::string& line : wrapped(canvas, paragraph, smallText(), width, 2))
            lines.push_back(line);
    }
    return lines;
}

double drawFoot(Canvas& canvas, const PlateWords& words) {
    const double right = canvas.width() - margin;
    const auto lines = footLines(canvas, words);
    double y = canvas.height() - belowFoot;
    TextStyle end = smallText();
    const std::string program = "Volvelle " + statedOr(words.programVersion, "(version not stated)");
    const double programLeft = right - std::min(canvas.textWidth(program, end), 200.0);
    canvas.text({margin, y},
                fitted(canvas, statedOr(words.origin, "run not stated"), end, programLeft - margin - 20),
                end);
    end.align = Align::right;
    canvas.text({right, y}, fitted(canvas, program, end, 201), end);
    y -= lineHeight * static_cast<double>(lines.size());
    const double top = y - lineHeight;
    for (const std::string& line : lines) {
        canvas.text({margin, y}, line, smallText());
        y += lineHeight;
    }
    canvas.line({margin, top + 1}, {right, top + 1}, {Palette::gridStrong(), 0.7, {}});
    return top;
}

/// The points of the curve between two abscissae, with interpolated ones at the cuts.
std::vector<Point> cutTo(const std::vector<Point>& points, double left, double right) {
    std::vector<Point> out;
    for (std::size_t i = 0; i < points.size(); ++i) {
        const Point p = points[i];
        if (i > 0) {
            const Point before = points[i - 1];
            for (const double cut : {left, right}) {
                if (before.x < cut && p.x > cut) {
                    const double t = (cut - before.x) / (p.x - before.x);
                    out.push_back({cut, before.y + t * (p.y - before.y)});
                }
            }
        }
        if (p.x >= left && p.x <= right) out.push_back(p);
    }
    return out;
}

}  // namespace

TextStyle bodyText() {
    return {9, Palette::quietText(), Align::left, false, 0, false};
}

TextStyle smallText() {
    return {8, Palette::quietText(), Align::left, false, 0, false};
}

Box drawPlate(Canvas& canvas, const PlateWords& words, const std::string& kind) {
    canvas.fillAll(Palette::paper());
    drawHeading(canvas, words, kind);
    const double bottom = drawFoot(canvas, words);
    return {margin, contentTop, canvas.width() - margin, bottom - aboveFoot};
}

double plateHeight(const PlateWords& words, double width, double contentHeight) {
    const Canvas measure = Canvas::pixels(width, 100, 0.25);
    const auto lines = static_cast<double>(footLines(measure, words).size());
    return contentTop + contentHeight + aboveFoot + lineHeight * (lines + 1) + belowFoot;
}

std::vector<std::string> wrapped(const Canvas& canvas, const std::string& text, const TextStyle& style,
                                 double width, std::size_t lines) {
    const std::string clean = drawable(text);
    std::vector<std::string> out;
    std::size_t at = 0;
    while (at < clean.size() && out.size() < lines) {
        const bool last = out.size() + 1 == lines;
        if (canvas.textWidth(clean.substr(at), style) <= width) {
            out.push_back(clean.substr(at));
            return out;
        }
        const double room = last ? width - canvas.textWidth("\xE2\x80\xA6", style) : width;
        std::size_t end = at, blank = std::string::npos;
        for (std::size_t next = at; next < clean.size(); end = next) {  // whole letters
            do ++next;
            while (next < clean.size() && (static_cast<unsigned char>(clean[next]) & 0xC0u) == 0x80u);
            if (canvas.textWidth(clean.substr(at, next - at), style) > room) break;
            if (clean[next - 1] == ' ') blank = next;
        }
        if (end == at) end = at + 1;
        if (!last && blank != std::string::npos) end = blank;
        out.push_back(clean.substr(at, end - at) + (last ? "\xE2\x80\xA6" : ""));
        at = end;
    }
    if (out.empty()) out.emplace_back();
    return out;
}

void sayInstead(Canvas& canvas, const Box& box, const std::string& what, const std::string& why) {
    TextStyle strong{11.5, Palette::ink(), Align::centre, true, 0, true};
    TextStyle plain{9.5, Palette::ink(), Align::centre, false, 0, true};
    const double width = std::min(box.width() - 24, 460.0);
    const auto head = wrapped(canvas, what, strong, width, 2);
    const auto lines = wrapped(canvas, why.empty() ? "The reason is not stated." : why, plain, width, 5);
    double y = box.centre().y - 7.5 * static_cast<double>(head.size() + lines.size() - 1);
    for (const std::string& line : head) {
        canvas.text({box.centre().x, y}, line, strong);
        y += 17;
    }
    for (const std::string& line : lines) {
        canvas.text({box.centre().x, y}, line, plain);
        y += 14;
    }
}

Band drawnBand(const Band& band, const FrequencyAxis& axis) {
    const bool known = band.lowHz < band.highHz;
    if (!known) return {axis.lowHz, axis.highHz};
    return {std::clamp(band.lowHz, axis.lowHz, axis.highHz),
            std::clamp(band.highHz, axis.lowHz, axis.highHz)};
}

void drawGround(Canvas& canvas, const Box& plot, const FrequencyAxis& axis, const Band& band) {
    canvas.fillBox(plot, {1, 1, 1});
    const double left = axis.x(band.lowHz), right = axis.x(band.highHz);
    if (left > plot.left + 0.01) canvas.fillBox({plot.left, plot.top, left, plot.bottom}, Palette::outside());
    if (right < plot.right - 0.01)
        canvas.fillBox({right, plot.top, plot.right, plot.bottom}, Palette::outside());
}

void drawFrequencyLines(Canvas& canvas, const Box& plot, const FrequencyAxis& axis) {
    for (const double hz : axis.lines()) {
        const bool power = std::abs(std::remainder(std::log10(hz), 1.0)) < 1e-6;
        canvas.line({axis.x(hz), plot.top}, {axis.x(hz), plot.bottom},
                    {power ? Palette::gridStrong() : Palette::gridFine(), power ? 0.9 : 0.6, {}});
    }
}

void drawFrequencyLabels(Canvas& canvas, const FrequencyAxis& axis, double top, const std::string& title) {
    TextStyle style = bodyText();
    style.align = Align::centre;
    for (const double hz : axis.labels()) {
        canvas.line({axis.x(hz), top}, {axis.x(hz), top + 3.5}, {Palette::frame(), 0.8, {}});
        canvas.text({axis.x(hz), top + 11}, axisFrequency(hz), style);
    }
    if (!title.empty()) canvas.text({(axis.left + axis.right) / 2, top + 25}, title, style);
}

void drawCurve(Canvas& canvas, const Box& plot, const std::vector<Point>& points, double validLeft,
               double validRight, const Pen& pen) {
    constexpr double far = std::numeric_limits<double>::max();
    canvas.clip(plot);
    canvas.stroke(cutTo(points, -far, validLeft), pen.faint());
    canvas.stroke(cutTo(points, validRight, far), pen.faint());
    canvas.stroke(cutTo(points, validLeft, validRight), pen);
    canvas.unclip();
}

void drawEndLabels(Canvas& canvas, const std::vector<EndLabel>& labels, const LabelColumn& column) {
    constexpr double sample = 20, gap = 5, line = 11, space = 4;
    std::vector<std::vector<std::string>> texts;
    std::vector<double> wished, heights;
    const double textLeft = column.left + sample + gap;
    TextStyle style{9.2, Palette::ink(), Align::left, true, 0, false};
    for (const EndLabel& label : labels) {
        texts.push_back(wrapped(canvas, label.text, style, column.right - textLeft, 2));
        wished.push_back(std::clamp(label.end.y, column.top, column.bottom));
        heights.push_back(line * static_cast<double>(texts.back().size()) + space);
    }
    const auto centres = spreadLabels(wished, heights, column.top, column.bottom);
    for (std::size_t i = 0; i < labels.size(); ++i) {
        const Pen& pen = labels[i].pen;
        if (labels[i].end.x < column.plotRight - 3)
            canvas.line({labels[i].end.x + 2, wished[i]}, {column.plotRight, wished[i]},
                        {pen.colour.withAlpha(0.45), 0.5, {}});
        canvas.line({column.leaderFrom, wished[i]}, {column.left - 3, centres[i]}, {pen.colour, 0.6, {}});
        canvas.line({column.left, centres[i]}, {column.left + sample, centres[i]}, pen);
        style.colour = pen.colour;
        double y = centres[i] - line / 2 * static_cast<double>(texts[i].size() - 1);
        for (const std::string& text : texts[i]) {
            canvas.text({textLeft, y}, text, style);
            y += line;
        }
    }
}

}  // namespace volvelle
