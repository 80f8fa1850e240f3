#include "Figures/Palette.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

constexpr Colour hex(std::uint32_t rgb) {
    return {((rgb >> 16u) & 0xFFu) / 255.0, ((rgb >> 8u) & 0xFFu) / 255.0, (rgb & 0xFFu) / 255.0};
}

double encoded(double linear) {
    const double c = std::clamp(linear, 0.0, 1.0);
    return c <= 0.0031308 ? 12.92 * c : 1.055 * std::pow(c, 1 / 2.4) - 0.055;
}

std::uint32_t packed(const Colour& c) {
    const auto byte = [](double v) { return static_cast<std::uint32_t>(std::lround(255 * v)); };
    return byte(c.red) << 16u | byte(c.green) << 8u | byte(c.blue);
}

/// The colour of step k: 0 the lowest, 10 the one that reaches up to the axis level and 1 dB more, 11 and 12
/// above it.
Colour stepColour(int k) {
    if (k > 10) return k == 11 ? fromOklch(0.76, 0.155, 72) : fromOklch(0.60, 0.19, 44);
    const double t = k / 10.0;
    const double chroma = 0.012 + 0.30 * t * (1 - t) * 0.9 + 0.055 * t;
    return fromOklch(0.972 - 0.672 * t, std::min(chroma, 0.105), 102 + (248 - 102) * std::pow(t, 0.8));
}

int stepOf(double levelDb, const std::vector<double>& edges) {
    return static_cast<int>(std::upper_bound(edges.begin(), edges.end(), levelDb) - edges.begin());
}

}  // namespace

Colour fromOklch(double lightness, double chroma, double hueDeg) {
    const double a = chroma * std::cos(hueDeg * std::numbers::pi / 180),
                 b = chroma * std::sin(hueDeg * std::numbers::pi / 180);
    const auto cubed = [](double v) { return v * v * v; };
    const double l = cubed(lightness + 0.3963377774 * a + 0.2158037573 * b);
    const double m = cubed(lightness - 0.1055613458 * a - 0.0638541728 * b);
    const double s = cubed(lightness - 0.0894841775 * a - 1.2914855480 * b);
    return {encoded(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
            encoded(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
            encoded(-0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s)};
}

Colour Palette::paper() {
    return hex(0xFBFAF5);
}
Colour Palette::ink() {
    return hex(0x1B1B22);
}
Colour Palette::quietText() {
    return hex(0x57544E);
}
Colour Palette::gridStrong() {
    return hex(0xCFCABF);
}
Colour Palette::gridFine() {
    return hex(0xE9E6DD);
}
Colour Palette::frame() {
    return hex(0x7E7A72);
}
Colour Palette::outside() {
    return hex(0xEFECE3);
}

Colour Palette::curve(std::size_t index) {
    static const std::array<Colour, 6> inks{ink(),         hex(0x1414EB), hex(0x8A6A00),
                                            hex(0xC816A8), hex(0x007D5E), hex(0x911923)};
    return inks[index % inks.size()];
}

Pen Palette::curvePen(std::size_t index) {
    static const std::array<Pen, 6> pens{
        Pen{curve(0), 2.2, {}},       Pen{curve(1), 1.7, {}},
        Pen{curve(2), 1.7, {9, 2.5}}, Pen{curve(3), 1.7, {7, 2.2, 1.6, 2.2}},
        Pen{curve(4), 1.7, {2.6, 2}}, Pen{curve(5), 1.7, {10, 2, 1.6, 2, 1.6, 2}}};
    return pens[index % pens.size()];
}

const std::vector<double>& LevelColours::edgesDb() {
    static const std::vector<double> edges{-30, -27, -24, -21, -18, -15, -12, -9, -6, -3, 1, 4};
    return edges;
}

Colour LevelColours::at(double levelDb) {
    return stepColour(stepOf(levelDb, edgesDb()));
}

std::uint32_t LevelColours::rgbAt(double levelDb) {
    static const auto table = [] {
        std::array<std::uint32_t, 13> t{};
        for (int k = 0; k < 13; ++k) t[static_cast<std::size_t>(k)] = packed(stepColour(k));
        return t;
    }();
    return std::isnan(levelDb) ? packed(Palette::outside())
                               : table[static_cast<std::size_t>(stepOf(levelDb, edgesDb()))];
}

const std::vector<double>& DifferenceColours::edgesDb() {
    static const std::vector<double> edges{-50, -45, -40, -35, -30, -25, -20, -15, -10, -5, 0};
    return edges;
}

Colour DifferenceColours::at(double levelDb) {
    return stepColour(stepOf(levelDb, edgesDb()));
}

std::uint32_t DifferenceColours::rgbAt(double levelDb) {
    return packed(std::isnan(levelDb) ? Palette::outside() : at(levelDb));
}

Colour DifferenceColours::veiledAt(double levelDb) {
    constexpr double left = 0.18;  // of the colour
    const Colour c = at(levelDb), veil = Palette::outside();
    const auto mixed = [](double a, double b) { return left * a + (1 - left) * b; };
    return {mixed(c.red, veil.red), mixed(c.green, veil.green), mixed(c.blue, veil.blue)};
}

std::uint32_t DifferenceColours::veiledRgbAt(double levelDb) {
    return packed(std::isnan(levelDb) ? Palette::outside() : veiledAt(levelDb));
}

}  // namespace volvelle
