#pragma once

#include "Figures/Axis.h"
#include "Figures/Canvas.h"
#include "Figures/Geometry.h"
#include "Figures/OrbitField.h"
#include "Signal/Excitation.h"

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

namespace volvelle {

// What maps over angle and frequency have in common.

struct MapPanel {
    Box plot;
    FrequencyAxis frequency;
    LevelAxis angle;  ///< -180 ... 180
    static MapPanel at(const Box& plot);
};

constexpr double mapRowStepDeg = 1.25;

struct ContourStyle {
    double levelDb;
    Pen pen;
};

/// Pixels of the plot: two for each point and direction, levels linear between neighbours in logarithmic
/// frequency. rows: of mapRowStepDeg; colour: 0xRRGGBB of a level.
void drawMapField(Canvas& canvas, const MapPanel& p, const std::vector<double>& frequencyHz,
                  const std::vector<std::vector<double>>& rows,
                  const std::function<std::uint32_t(double)>& colour);

/// The same of two quantities: colour is given both.
using MapRows = std::vector<std::vector<double>>;
void drawMapField(Canvas& canvas, const MapPanel& p, const std::vector<double>& frequencyHz,
                  const MapRows& rows, const MapRows& others,
                  const std::function<std::uint32_t(double, double)>& colour);

/// Contours with their levels written on them where there is room.
void drawMapContours(Canvas& canvas, const MapPanel& p, const std::vector<double>& frequencyHz,
                     const std::vector<std::vector<double>>& rows, const std::vector<ContourStyle>& styles);

/// Angles at the left, a tick for each measured one at the right.
void drawMapAngles(Canvas& canvas, const MapPanel& p, const std::vector<double>& measuredDeg, Orbit orbit);

/// Frequencies and right angles as thin lines, a veil outside the band, and the frame.
void drawMapLines(Canvas& canvas, const MapPanel& p, const Band& band);

/// The key of colours that change at the edges (dB), with contours drawn across it.
void drawMapKey(Canvas& canvas, const Box& key, const std::vector<double>& edgesDb,
                const std::function<Colour(double)>& colour, const std::vector<ContourStyle>& contours,
                const std::string& title);

}  // namespace volvelle
