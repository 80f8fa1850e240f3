#pragma once

#include "Figures/Geometry.h"

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <vector>

namespace volvelle {

/// A text as it was drawn, for the searchable layer of an SVG and for tests.
struct PlacedText {
    std::string text;
    Box box;  ///< in the coordinates of the whole picture
    Point baseline;
    TextStyle style;
};

/// What figures are drawn on: pixels of our own, pixels of someone else (a screen), or an SVG document. The
/// same calls give the same drawing on each. Text must be given as UTF-8; what is no UTF-8, and control
/// characters, are drawn as U+FFFD. Owned by one thread, not real-time-safe. Throws Error{bug} where the
/// drawing library reports a failure.
class Canvas {
public:
    /// Pixels of its own: width · scale by height · scale, rounded. Throws Error{usage} for more than 30000
    /// pixels a side.
    static Canvas pixels(double width, double height, double scale);
    static Canvas svg(double width, double height);
    /// Somebody else's pixels, 32 bits each (native order: blue lowest), rows of strideBytes. They must
    /// outlive the canvas.
    static Canvas onto(std::span<std::uint32_t> argb, int columns, int rows, std::size_t strideBytes,
                       double scale);

    ~Canvas();
    Canvas(Canvas&&) noexcept;
    Canvas& operator=(Canvas&&) noexcept;

    double width() const;  ///< in points of the present scale
    double height() const;
    void shrink(double factor);  ///< all that follows is drawn smaller by this factor (0 < factor <= 1)

    void fillAll(const Colour& colour);
    void fillBox(const Box& box, const Colour& colour);
    void fillPolygon(std::span<const Point> points, const Colour& colour);
    void stroke(std::span<const Point> points, const Pen& pen);  ///< not-a-number breaks the line
    void line(Point from, Point to, const Pen& pen);
    void strokeBox(const Box& box, const Pen& pen);
    void circle(Point centre, double radius, const Pen& pen);
    void disc(Point centre, double radius, const Colour& colour);
    /// An opaque picture, row after row from the top left, stretched over the box.
    void image(const Box& box, int columns, int rows, std::span<const std::uint32_t> rgb);

    double textWidth(const std::string& text, const TextStyle& style) const;
    /// The text's middle height lies at at.y; at.x is its left end, centre or right end. Returns the box it
    /// takes.
    Box text(Point at, const std::string& text, const TextStyle& style);
    /// The box that it would take.
    Box textBox(Point at, const std::string& text, const TextStyle& style) const;

    void clip(const Box& box);  ///< until unclip()
    void unclip();

    const std::vector<PlacedText>& texts() const;

    std::vector<std::byte> asPng();  ///< pixels only; the same drawing gives the same bytes
    /// svg only; ends the drawing. Letters are outlines, so that it looks alike everywhere; an invisible
    /// layer of the same texts makes them searchable. No dates; the same drawing gives the same bytes.
    std::string asSvg(const std::string& title, const std::string& description);

private:
    struct State;
    explicit Canvas(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

}  // namespace volvelle
