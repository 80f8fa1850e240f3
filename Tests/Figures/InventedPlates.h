#pragma once

#include "Figures/Overlay.h"
#include "Figures/SectionsFigure.h"

#include <cstddef>
#include <cstdint>

namespace volvelle {

/// Runs of invented two-way units, a few tenths of a decibel apart: 2 to 6 of them, in 1 to 4 curves.
OverlayPlate inventedOverlay(std::size_t runs, std::size_t curves);
/// An invented unit of two sections: 1 to 6 curves.
SectionsPlate inventedSections(std::size_t curves);
/// The difference of its whole and sum, strongest near 1 kHz behind it, over a floor of noise.
InteractionPlate inventedInteraction();

/// The same with levels, gaps, names, ranges and words varied by chance.
OverlayPlate randomOverlay(std::uint64_t seed);
SectionsPlate randomSections(std::uint64_t seed);
InteractionPlate randomInteraction(std::uint64_t seed);

}  // namespace volvelle
