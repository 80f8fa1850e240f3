#include "Figures/Figure.h"

#include "Figures/FamilyWords.h"
#include "Figures/Kinds.h"
#include "Text/Error.h"
#include "Text/Nearest.h"
#include "Text/Number.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace volvelle {

namespace {

struct KindEntry {
    FigureKind kind;
    const char* name;
    const char* title;
    double width, height;  // points
};

constexpr std::array<KindEntry, 5> entries{
    {{FigureKind::family, "family", "Family of curves", 960, 820},
     {FigureKind::map, "map", "Directivity map", 900, 840},
     {FigureKind::polar, "polar", "Polar curves", 900, 760},
     {FigureKind::impulse, "impulse", "Impulse response and windows", 900, 740},
     {FigureKind::distortion, "distortion", "Harmonic distortion", 900, 620}}};

const KindEntry& entryOf(FigureKind kind) {
    return entries.at(static_cast<std::size_t>(kind));
}

void requireSense(const FigureOptions& options) {
    const auto require = [](double value, const Range& range, const char* field) {
        requireInRange(value, range, {ErrorKind::usage, "figure", field, ""});
    };
    if (options.width != 0) require(options.width, Range::between(100, 10000), "width in points");
    if (options.height != 0) require(options.height, Range::between(100, 10000), "height in points");
    require(options.scale, Range::between(0.25, 8), "pixels per point");
    require(static_cast<double>(options.polarHz.size()), Range::between(1, 12), "number of polar curves");
    for (const double hz : options.polarHz)
        require(hz, Range::between(1, 200000), "frequency of a polar curve in Hz");
}

double wide(const FigureOptions& options, FigureKind kind) {
    return options.width != 0 ? options.width : entryOf(kind).width;
}

double high(const FigureOptions& options, FigureKind kind) {
    return options.height != 0 ? options.height : entryOf(kind).height;
}

}  // namespace

FigureKind figureKindNamed(const std::string& name) {
    std::vector<std::string> names;
    for (const KindEntry& e : entries) {
        if (name == e.name) return e.kind;
        names.emplace_back(e.name);
    }
    throw Error(ErrorKind::usage, fmt::format("there is no kind of figure \"{}\"", name), "--kind",
                fmt::format("Use one of {}", fmt::join(names, ", ")));
}

std::string figureKindName(FigureKind kind) {
    return entryOf(kind).name;
}

const std::vector<FigureKind>& figureKinds() {
    static const std::vector<FigureKind> all = [] {
        std::vector<FigureKind> kinds;
        for (const KindEntry& e : entries) kinds.push_back(e.kind);
        return kinds;
    }();
    return all;
}

void drawFigure(const Family& family, FigureKind kind, const FigureOptions& options, Canvas& canvas) {
    requireSense(options);
    const double factor =
        std::min({1.0, canvas.width() / entryOf(kind).width, canvas.height() / entryOf(kind).height});
    canvas.shrink(factor);
    switch (kind) {
        case FigureKind::family:
            drawFamilyChart(family, options, canvas);
            break;
        case FigureKind::map:
            drawDirectivityMaps(family, canvas);
            break;
        case FigureKind::polar:
            drawPolars(family, options, canvas);
            break;
        case FigureKind::impulse:
            drawImpulse(family, canvas);
            break;
        case FigureKind::distortion:
            drawDistortion(family, canvas);
            break;
    }
}

std::string asSvg(const Family& family, FigureKind kind, const FigureOptions& options) {
    requireSense(options);
    Canvas canvas = Canvas::svg(wide(options, kind), high(options, kind));
    drawFigure(family, kind, options, canvas);
    const std::string unit = family.unitModel.empty() ? "Unit not stated" : family.unitModel;
    return canvas.asSvg(
        fmt::format("{}: {}, drive {}", entryOf(kind).title, unit, family.drive),
        fmt::format("{}. Run {}.", axisStatement(family, kind), family.runFingerprint.substr(0, 12)));
}

std::vector<std::byte> asPng(const Family& family, FigureKind kind, const FigureOptions& options) {
    requireSense(options);
    Canvas canvas = Canvas::pixels(wide(options, kind), high(options, kind), options.scale);
    drawFigure(family, kind, options, canvas);
    return canvas.asPng();
}

}  // namespace volvelle
