#pragma once

#include <algorithm>
#include <vector>

namespace volvelle {

// All lengths of a drawing are in points; x grows to the right, y downwards.

struct Point {
    double x, y;
};

struct Box {
    double left, top, right, bottom;
    double width() const { return right - left; }
    double height() const { return bottom - top; }
    Point centre() const { return {(left + right) / 2, (top + bottom) / 2}; }
    bool overlaps(const Box& other) const {
        return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
    }
    bool contains(const Box& other) const {
        return left <= other.left && top <= other.top && right >= other.right && bottom >= other.bottom;
    }
    bool contains(Point p) const { return p.x >= left && p.x <= right && p.y >= top && p.y <= bottom; }
    Box grown(double by) const { return {left - by, top - by, right + by, bottom + by}; }
};

/// sRGB, 0 ... 1.
struct Colour {
    double red, green, blue, alpha = 1;
    Colour withAlpha(double a) const { return {red, green, blue, a}; }
};

struct Pen {
    Colour colour;
    double width = 1;
    std::vector<double> dashes = {};  ///< drawn, left out, drawn ...; empty: a full line
    Pen faint() const { return {colour.withAlpha(0.3 * colour.alpha), width * 0.8, dashes}; }
};

enum class Align { left, centre, right };

struct TextStyle {
    double size = 9;
    Colour colour{0, 0, 0};
    Align align = Align::left;
    bool bold = false;
    double turnDeg = 0;   ///< 90: reads upwards (only 0 and 90)
    bool onPill = false;  ///< on a small field of paper, for text over curves and colours
};

}  // namespace volvelle
