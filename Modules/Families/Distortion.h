#pragma once

#include "Families/Family.h"
#include "Response/ImpulseSource.h"
#include "Response/ResolvedRecipe.h"

#include <complex>
#include <span>

namespace volvelle {

/// Harmonics 2 to 5 and their total of a swept recording: |h_n(n·f)| / |h_1(f)| at the fundamental f, each
/// harmonic windowed out of the circular impulse where it leads by L ln n (Novak, Lotton & Simon, J. Audio
/// Eng. Soc. 63(10), 2015). Not a number where n·f or f leaves the excited band (n·f: the lower 95 % of it).
/// The floor is the same quotient for a stretch of noise of the same length. impulse: of the capture, with
/// arrivalS its arrival. fundamental: its pressures on the grid, as the family has them. Empty with a reason
/// where the excitation is no exponential sweep.
Distortion distortionOf(const ImpulseSource& source, std::span<const float> impulse, double arrivalS,
                        const RunRecord& run, const DriveRecord& drive, const Capture& capture,
                        const ResolvedRecipe& recipe, std::span<const double> gridHz,
                        std::span<const std::complex<double>> fundamental);

}  // namespace volvelle
