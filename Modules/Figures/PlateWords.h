#pragma once

#include <string>
#include <vector>

namespace volvelle {

/// What a figure says about itself in its heading and foot. Empty strings are left out, but for the title and
/// the origin, which then say "not stated".
struct PlateWords {
    std::string title;     ///< in large letters: "Invented two-way 1 · serial 0007"
    std::string subtitle;  ///< below it: "Drive front · axis 0°"
    /// Paragraphs of the foot, the weightiest first. What finds no room is counted ("and 3 more notes").
    std::vector<std::string> statements;
    std::vector<std::string> notes;   ///< further paragraphs, each begun by "Note: "
    std::vector<std::string> always;  ///< last paragraphs of the foot, for which room is kept: range, recipe
    std::string origin;               ///< foot, left: "run 3f9c2ab07d41"
    std::string programVersion;       ///< foot, right: "0.1.0"
};

/// Size of a picture. Smaller ones shrink the whole drawing.
struct PictureSize {
    double width = 0, height = 0;  ///< points, 100 ... 10000; 0: what the figure needs
    double scale = 2;              ///< PNG: pixels per point, 0.25 ... 8
};

}  // namespace volvelle
