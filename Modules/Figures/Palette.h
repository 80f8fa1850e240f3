#pragma once

#include "Figures/Geometry.h"

#include <cstdint>
#include <string>
#include <vector>

namespace volvelle {

/// Inks and paper of all figures. Every ink differs from every other for people with protanopia and
/// deuteranopia too, and each has a line style of its own; text in any of them has a contrast of at least 4.5
/// : 1 on the paper (tests hold both).
struct Palette {
    static Colour paper();
    static Colour ink();        ///< text, the on-axis curve
    static Colour quietText();  ///< axis labels, foot
    static Colour gridStrong();
    static Colour gridFine();
    static Colour frame();
    static Colour outside();  ///< over the range where nothing is valid
    /// Curves: 0 ink, 1 blue, 2 ochre, 3 magenta, 4 green, 5 brick (a little nearer to the others: for a
    /// sixth curve only); further ones repeat.
    static Colour curve(std::size_t index);
    static Pen curvePen(std::size_t index);
    static std::size_t curveCount() { return 6; }
};

/// Colours of levels relative to the axis: paper for all that is 30 dB down and more, growing darker in even
/// steps of lightness to the axis level; two ember-coloured ones for what is louder than the axis by more
/// than 1 dB (less is no matter of directivity).
struct LevelColours {
    /// Where one colour ends and the next begins: -30, -27 ... -3, +1, +4 dB.
    static const std::vector<double>& edgesDb();
    static Colour at(double levelDb);
    static std::uint32_t rgbAt(double levelDb);  ///< 0xRRGGBB; for not-a-number the tone of "not measured"
};

/// Colours of differences relative to the loudest direction, the same steps 5 dB wide: paper for all that is
/// 50 dB down and more, growing darker to 0 dB, ember above it.
struct DifferenceColours {
    static const std::vector<double>& edgesDb();  ///< -50, -45 ... -5, 0 dB
    static Colour at(double levelDb);
    static std::uint32_t rgbAt(double levelDb);  ///< as above
    /// The same where it tells nothing: pale.
    static Colour veiledAt(double levelDb);
    static std::uint32_t veiledRgbAt(double levelDb);
};

/// Colour of OKLCh coordinates (B. Ottosson, "A perceptual color space for image processing", 2020), clipped
/// to sRGB.
Colour fromOklch(double lightness, double chroma, double hueDeg);

}  // namespace volvelle
