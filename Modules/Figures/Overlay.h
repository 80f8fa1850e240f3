#pragma once

#include "Figures/Canvas.h"
#include "Figures/PlateWords.h"
#include "Signal/Excitation.h"

#include <cstddef>
#include <string>
#include <vector>

namespace volvelle {

/// The same curve of several runs.
struct OverlayCurve {
    std::string title;  ///< "On axis"
    std::string unit;   ///< title of the upright axis: "Level, dB" or "Directivity index, dB"
    /// [run][frequency] in dB; not a number, or a row that is empty or short: not known.
    std::vector<std::vector<double>> valuesDb;
    std::string missing;  ///< why nothing of it is known; empty where something is
};

/// Curves of 2 to 6 runs over each other, each curve with a panel below it of the differences to one of the
/// runs; panels that would be empty are left out, and the foot says which. All on one grid: whoever fills it in has resampled them.
struct OverlayPlate {
    PlateWords words;                 ///< subtitle: drive, axis and level statement common to the runs
    std::vector<double> frequencyHz;  ///< growing, above 0
    std::vector<std::string>
        runs;                   ///< 2 to 6 names, printed behind the letters A, B ...: "serial 0007, 12 May"
    std::size_t reference = 0;  ///< the run that differences are taken to
    std::vector<OverlayCurve> curves;  ///< 1 to 4, one block of two panels each
    Band valid{0, 0};  ///< common to the runs: faint outside it; low not below high: nothing is said
};

/// Draws it, filling the canvas. Throws Error{usage} for numbers of runs or curves that it does not take, a
/// reference that is none of the runs, and a grid that does not grow.
void drawOverlay(const OverlayPlate& plate, Canvas& canvas);
/// Equal plates give equal bytes.
std::string asSvg(const OverlayPlate& plate, const PictureSize& size = {});
std::vector<std::byte> asPng(const OverlayPlate& plate, const PictureSize& size = {});

}  // namespace volvelle
