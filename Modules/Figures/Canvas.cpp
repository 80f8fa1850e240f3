#include "Figures/Canvas.h"

#include "Figures/SvgDocument.h"
#include "Figures/Words.h"
#include "Text/Error.h"

#include <cairo-svg.h>
#include <cairo.h>

#include <cmath>
#include <numbers>

namespace volvelle {

struct Canvas::State {
    cairo_surface_t* surface = nullptr;
    cairo_t* cr = nullptr;
    double width = 0, height = 0, shrunk = 1;
    std::string document;
    std::vector<std::uint32_t> own;
    std::vector<PlacedText> texts;

    State() = default;
    State(const State&) = delete;
    State& operator=(const State&) = delete;
    ~State() {
        if (cr != nullptr) cairo_destroy(cr);
        if (surface != nullptr) cairo_surface_destroy(surface);
    }
    void begin(double scale);
    void check() const;
};

namespace {

constexpr double ascentPart = 0.76, descentPart = 0.24, middlePart = 0.36;  // of the letter size, DejaVu Sans
constexpr const char* fontFamily = "DejaVu Sans";

cairo_status_t append(void* closure, const unsigned char* data, unsigned int length) {
    static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
    return CAIRO_STATUS_SUCCESS;
}

void setColour(cairo_t* cr, const Colour& c) {
    cairo_set_source_rgba(cr, c.red, c.green, c.blue, c.alpha);
}

void setPen(cairo_t* cr, const Pen& pen) {
    setColour(cr, pen.colour);
    cairo_set_line_width(cr, pen.width);
    cairo_set_dash(cr, pen.dashes.data(), static_cast<int>(pen.dashes.size()), 0);
}

void setFont(cairo_t* cr, const TextStyle& style) {
    cairo_select_font_face(cr, fontFamily, CAIRO_FONT_SLANT_NORMAL,
                           style.bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(cr, style.size);
}

void path(cairo_t* cr, std::span<const Point> points) {
    bool drawing = false;
    for (const Point& p : points) {
        if (!std::isfinite(p.x) || !std::isfinite(p.y)) {
            drawing = false;
            continue;
        }
        drawing ? cairo_line_to(cr, p.x, p.y) : cairo_move_to(cr, p.x, p.y);
        drawing = true;
    }
}

Point baselineOf(Point at, double width, const TextStyle& style) {
    const double back = style.align == Align::left ? 0 : style.align == Align::centre ? width / 2 : width;
    const double down = middlePart * style.size;
    return style.turnDeg == 0 ? Point{at.x - back, at.y + down} : Point{at.x + down, at.y + back};
}

Box boxOf(Point baseline, double width, const TextStyle& style) {
    const double up = ascentPart * style.size, down = descentPart * style.size;
    if (style.turnDeg == 0) return {baseline.x, baseline.y - up, baseline.x + width, baseline.y + down};
    return {baseline.x - up, baseline.y - width, baseline.x + down, baseline.y};
}

}  // namespace

void Canvas::State::begin(double scale) {
    cr = cairo_create(surface);
    cairo_scale(cr, scale, scale);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_ROUND);
    cairo_font_options_t* options = cairo_font_options_create();
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);  // else widths depend on the scale
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_set_font_options(cr, options);
    cairo_font_options_destroy(options);
    check();
}

void Canvas::State::check() const {
    cairo_status_t status = cr != nullptr ? cairo_status(cr) : cairo_surface_status(surface);
    if (status == CAIRO_STATUS_SUCCESS) status = cairo_surface_status(surface);
    if (status != CAIRO_STATUS_SUCCESS) {
        throw Error(ErrorKind::bug,
                    std::string("the drawing library reports: ") + cairo_status_to_string(status), "figure",
                    "Please report this with the command that led to it");
    }
}

Canvas::Canvas(std::unique_ptr<State> state) : state_(std::move(state)) {
}
Canvas::~Canvas() = default;
Canvas::Canvas(Canvas&&) noexcept = default;
Canvas& Canvas::operator=(Canvas&&) noexcept = default;

Canvas Canvas::onto(std::span<std::uint32_t> argb, int columns, int rows, std::size_t strideBytes,
                    double scale) {
    const bool fits = columns > 0 && rows > 0 && strideBytes >= static_cast<std::size_t>(columns) * 4 &&
                      argb.size_bytes() >= strideBytes * static_cast<std::size_t>(rows) && scale > 0;
    if (!fits)
        throw Error(ErrorKind::bug, "the pixels do not match their stated size", "figure",
                    "Please report this");
    auto state = std::make_unique<State>();
    state->surface =
        cairo_image_surface_create_for_data(reinterpret_cast<unsigned char*>(argb.data()), CAIRO_FORMAT_RGB24,
                                            columns, rows, static_cast<int>(strideBytes));
    state->width = columns / scale;
    state->height = rows / scale;
    state->begin(scale);
    return Canvas(std::move(state));
}

Canvas Canvas::pixels(double width, double height, double scale) {
    const double columns = std::round(width * scale), rows = std::round(height * scale);
    if (!(columns >= 1 && rows >= 1 && columns <= 30000 && rows <= 30000)) {
        throw Error(ErrorKind::usage, "a picture of this size cannot be made", "figure size",
                    "Choose width, height and scale so that each side has 1 to 30000 pixels");
    }
    std::vector<std::uint32_t> own(static_cast<std::size_t>(columns * rows));
    Canvas canvas = onto(own, static_cast<int>(columns), static_cast<int>(rows),
                         static_cast<std::size_t>(columns) * 4, scale);
    canvas.state_->own = std::move(own);  // a moved vector keeps its memory
    return canvas;
}

Canvas Canvas::svg(double width, double height) {
    auto state = std::make_unique<State>();
    state->surface = cairo_svg_surface_create_for_stream(append, &state->document, width, height);
    cairo_svg_surface_restrict_to_version(state->surface, CAIRO_SVG_VERSION_1_1);
    state->width = width;
    state->height = height;
    state->begin(1);
    return Canvas(std::move(state));
}

double Canvas::width() const {
    return state_->width / state_->shrunk;
}

double Canvas::height() const {
    return state_->height / state_->shrunk;
}

void Canvas::shrink(double factor) {
    cairo_scale(state_->cr, factor, factor);
    state_->shrunk *= factor;
}

void Canvas::fillAll(const Colour& colour) {
    fillBox({0, 0, width(), height()}, colour);
}

void Canvas::fillBox(const Box& box, const Colour& colour) {
    setColour(state_->cr, colour);
    cairo_rectangle(state_->cr, box.left, box.top, box.width(), box.height());
    cairo_fill(state_->cr);
}

void Canvas::fillPolygon(std::span<const Point> points, const Colour& colour) {
    setColour(state_->cr, colour);
    path(state_->cr, points);
    cairo_fill(state_->cr);
}

void Canvas::stroke(std::span<const Point> points, const Pen& pen) {
    setPen(state_->cr, pen);
    path(state_->cr, points);
    cairo_stroke(state_->cr);
}

void Canvas::line(Point from, Point to, const Pen& pen) {
    const Point ends[] = {from, to};
    stroke(ends, pen);
}

void Canvas::strokeBox(const Box& box, const Pen& pen) {
    setPen(state_->cr, pen);
    cairo_rectangle(state_->cr, box.left, box.top, box.width(), box.height());
    cairo_stroke(state_->cr);
}

void Canvas::circle(Point centre, double radius, const Pen& pen) {
    setPen(state_->cr, pen);
    cairo_new_sub_path(state_->cr);
    cairo_arc(state_->cr, centre.x, centre.y, radius, 0, 2 * std::numbers::pi);
    cairo_stroke(state_->cr);
}

void Canvas::disc(Point centre, double radius, const Colour& colour) {
    setColour(state_->cr, colour);
    cairo_new_sub_path(state_->cr);
    cairo_arc(state_->cr, centre.x, centre.y, radius, 0, 2 * std::numbers::pi);
    cairo_fill(state_->cr);
}

void Canvas::image(const Box& box, int columns, int rows, std::span<const std::uint32_t> rgb) {
    cairo_surface_t* picture = cairo_image_surface_create(CAIRO_FORMAT_RGB24, columns, rows);
    const auto stride = static_cast<std::size_t>(cairo_image_surface_get_stride(picture)) / 4;
    auto* out = reinterpret_cast<std::uint32_t*>(cairo_image_surface_get_data(picture));
    for (std::size_t row = 0; row < static_cast<std::size_t>(rows); ++row) {
        const auto from =
            rgb.subspan(row * static_cast<std::size_t>(columns), static_cast<std::size_t>(columns));
        std::copy(from.begin(), from.end(), out + row * stride);
    }
    cairo_surface_mark_dirty(picture);
    cairo_save(state_->cr);
    cairo_translate(state_->cr, box.left, box.top);
    cairo_scale(state_->cr, box.width() / columns, box.height() / rows);
    cairo_set_source_surface(state_->cr, picture, 0, 0);
    cairo_pattern_set_filter(cairo_get_source(state_->cr), CAIRO_FILTER_GOOD);
    cairo_pattern_set_extend(cairo_get_source(state_->cr), CAIRO_EXTEND_PAD);  // no pale rim
    cairo_rectangle(state_->cr, 0, 0, columns, rows);
    cairo_fill(state_->cr);
    cairo_restore(state_->cr);
    cairo_surface_destroy(picture);
    state_->check();
}

double Canvas::textWidth(const std::string& text, const TextStyle& style) const {
    setFont(state_->cr, style);
    cairo_text_extents_t extents;
    cairo_text_extents(state_->cr, drawable(text).c_str(), &extents);
    return extents.x_advance;
}

Box Canvas::textBox(Point at, const std::string& text, const TextStyle& style) const {
    const double wide = textWidth(text, style);
    return boxOf(baselineOf(at, wide, style), wide, style);
}

Box Canvas::text(Point at, const std::string& text, const TextStyle& style) {
    const double wide = textWidth(text, style);
    const Point baseline = baselineOf(at, wide, style);
    const Box box = boxOf(baseline, wide, style);
    if (style.onPill) fillBox(box.grown(1.2), {0.984, 0.980, 0.961, 0.94});
    cairo_t* cr = state_->cr;
    setColour(cr, style.colour);
    cairo_save(cr);
    cairo_move_to(cr, baseline.x, baseline.y);
    cairo_rotate(cr, -style.turnDeg * std::numbers::pi / 180);
    cairo_show_text(cr, drawable(text).c_str());
    cairo_restore(cr);
    cairo_new_path(cr);
    const double s = state_->shrunk;
    TextStyle placed = style;
    placed.size *= s;
    state_->texts.push_back({drawable(text),
                             {box.left * s, box.top * s, box.right * s, box.bottom * s},
                             {baseline.x * s, baseline.y * s},
                             placed});
    return box;
}

void Canvas::clip(const Box& box) {
    cairo_save(state_->cr);
    cairo_rectangle(state_->cr, box.left, box.top, box.width(), box.height());
    cairo_clip(state_->cr);
}

void Canvas::unclip() {
    cairo_restore(state_->cr);
}

const std::vector<PlacedText>& Canvas::texts() const {
    return state_->texts;
}

std::vector<std::byte> Canvas::asPng() {
    state_->check();
    std::string bytes;
    cairo_surface_flush(state_->surface);
    if (cairo_surface_write_to_png_stream(state_->surface, append, &bytes) != CAIRO_STATUS_SUCCESS) {
        throw Error(ErrorKind::bug, "the picture cannot be written as PNG", "figure", "Please report this");
    }
    const auto* begin = reinterpret_cast<const std::byte*>(bytes.data());
    return {begin, begin + bytes.size()};
}

std::string Canvas::asSvg(const std::string& title, const std::string& description) {
    state_->check();
    cairo_surface_finish(state_->surface);
    return finishedSvg(state_->document, title, description, state_->texts);
}

}  // namespace volvelle
