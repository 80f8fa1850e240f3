#pragma once

#include "Families/Family.h"
#include "Quantities/Air.h"

namespace volvelle {

/// Inserts the curves made of other curves: both directivity indices (listening window minus early
/// reflections, minus sound power), the estimated in-room curve (12 % listening window, 44 % early
/// reflections, 44 % sound power, of squared pressures; ANSI/CTA-2034-A, from memory) after sound power, and
/// at the end the sound power level re 1 pW: L_p + 10 lg(4π) + 10 lg(400 / ρc) with the ρc of the air, or the
/// last term left out where it is not stated.
void addDerivedCurves(Family& family, const Air& air);

}  // namespace volvelle
