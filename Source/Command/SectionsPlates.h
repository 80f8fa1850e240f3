#pragma once

#include "Export/ResultFile.h"
#include "Figures/SectionsFigure.h"
#include "Sections/Interaction.h"

#include <string>
#include <vector>

namespace volvelle {

/// The main curves: measured, coherent sum, power sum.
SectionsPlate sectionsPlate(const Interaction& interaction);

/// |whole - sum| over angle and frequency.
InteractionPlate interactionPlate(const Interaction& interaction);

/// Draws a plate into the files that are named (empty: not wanted).
template <typename Plate>
void addPlate(std::vector<ResultFile>& results, const Plate& plate, const std::string& svg,
              const std::string& png) {
    if (!svg.empty()) results.push_back({svg, asSvg(plate)});
    if (png.empty()) return;
    const auto bytes = asPng(plate);
    results.push_back({png, {reinterpret_cast<const char*>(bytes.data()), bytes.size()}});
}

}  // namespace volvelle
