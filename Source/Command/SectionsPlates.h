#pragma once

#include "Figures/SectionsFigure.h"
#include "Sections/Interaction.h"

namespace volvelle {

/// The main curves: measured, coherent sum, power sum.
SectionsPlate sectionsPlate(const Interaction& interaction);

/// |whole - sum| over angle and frequency.
InteractionPlate interactionPlate(const Interaction& interaction);

}  // namespace volvelle
