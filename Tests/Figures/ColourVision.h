#pragma once

#include "Figures/Geometry.h"

#include <array>
#include <cmath>

namespace volvelle {

// Colours as people see them: a second way to compute them, which shares nothing with Figures/Palette.

using Linear = std::array<double, 3>;

inline Linear linearOf(const Colour& c) {  // IEC 61966-2-1
    const auto decoded = [](double v) {
        return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
    };
    return {decoded(c.red), decoded(c.green), decoded(c.blue)};
}

inline Linear times(const std::array<Linear, 3>& m, const Linear& v) {
    Linear out{};
    for (std::size_t i = 0; i < 3; ++i) out[i] = m[i][0] * v[0] + m[i][1] * v[1] + m[i][2] * v[2];
    return out;
}

/// Vision: the colour as somebody sees it. Matrices for severity 1 of G. M. Machado, M. M. Oliveira & L. A.
/// F. Fernandes, IEEE Trans. Visualization and Computer Graphics 15(6), 2009 (from memory), on linear sRGB.
struct Vision {
    const char* name;
    std::array<Linear, 3> matrix;
};

inline const std::array<Vision, 3>& visions() {
    static const std::array<Vision, 3> all{{{"usual", {{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}},
                                            {"protanopia",
                                             {{{0.152286, 1.052583, -0.204868},
                                               {0.114503, 0.786281, 0.099216},
                                               {-0.003882, -0.048116, 1.051998}}}},
                                            {"deuteranopia",
                                             {{{0.367322, 0.860646, -0.227968},
                                               {0.280085, 0.672501, 0.047413},
                                               {-0.011820, 0.042940, 0.968881}}}}}};
    return all;
}

inline Linear seen(const Colour& c, const Vision& vision) {
    Linear out = times(vision.matrix, linearOf(c));
    for (double& v : out) v = std::fmin(std::fmax(v, 0.0), 1.0);
    return out;
}

/// CIE 1976 L*a*b* for D65 (CIE 15).
inline Linear labOf(const Linear& rgb) {
    static const std::array<Linear, 3> toXyz{{{0.4124564, 0.3575761, 0.1804375},
                                              {0.2126729, 0.7151522, 0.0721750},
                                              {0.0193339, 0.1191920, 0.9503041}}};
    const Linear xyz = times(toXyz, rgb), white = times(toXyz, {1, 1, 1});
    const auto f = [&](std::size_t i) {
        const double t = xyz[i] / white[i];
        return t > 216.0 / 24389 ? std::cbrt(t) : (24389.0 / 27 * t + 16) / 116;
    };
    return {116 * f(1) - 16, 500 * (f(0) - f(1)), 200 * (f(1) - f(2))};
}

inline double distance(const Colour& a, const Colour& b, const Vision& vision) {
    const Linear p = labOf(seen(a, vision)), q = labOf(seen(b, vision));
    return std::hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
}

/// Contrast of two opaque colours, 1 ... 21: W3C, Web Content Accessibility Guidelines 2.1, "relative
/// luminance".
inline double contrast(const Colour& a, const Colour& b) {
    const auto luminance = [](const Colour& c) {
        const Linear l = linearOf(c);
        return 0.2126 * l[0] + 0.7152 * l[1] + 0.0722 * l[2];
    };
    const double p = luminance(a), q = luminance(b);
    return (std::fmax(p, q) + 0.05) / (std::fmin(p, q) + 0.05);
}

}  // namespace volvelle
