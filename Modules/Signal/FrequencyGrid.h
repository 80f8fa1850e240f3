#pragma once

#include <vector>

namespace volvelle {

/// Frequencies low · 2^(k / perOctave) up to and including high (to within rounding).
std::vector<double> logarithmicGrid(double lowHz, double highHz, int perOctave);

/// Exact centres of 1/b octave bands within [lowHz, highHz], IEC 61260-1:2014: odd b: 1000 · 10^(3n/(10b))
/// Hz, even b: 1000 · 10^(3(2n+1)/(20b)). The ends are widened by 2 % so that nominal limits such as 20 Hz
/// include their band (19.95 Hz).
std::vector<double> bandCentres(double lowHz, double highHz, int bandsPerOctave);

}  // namespace volvelle
