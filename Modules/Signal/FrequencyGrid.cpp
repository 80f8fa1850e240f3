#include "Signal/FrequencyGrid.h"

#include "Text/Error.h"

#include <cmath>

namespace volvelle {

std::vector<double> logarithmicGrid(double lowHz, double highHz, int perOctave) {
    if (!(lowHz > 0) || !(highHz >= lowHz) || perOctave < 1)
        throw Error(ErrorKind::bug, "a frequency grid needs 0 < low <= high", "", "");
    const auto last = static_cast<int>(std::floor(std::log2(highHz / lowHz) * perOctave + 1e-9));
    std::vector<double> grid;
    for (int k = 0; k <= last; ++k) grid.push_back(lowHz * std::exp2(double(k) / perOctave));
    return grid;
}

std::vector<double> bandCentres(double lowHz, double highHz, int bandsPerOctave) {
    if (!(lowHz > 0) || !(highHz >= lowHz) || bandsPerOctave < 1)
        throw Error(ErrorKind::bug, "band centres need 0 < low <= high", "", "");
    const double shift = bandsPerOctave % 2 == 0 ? 0.5 : 0;
    const double perBand = 0.3 / bandsPerOctave;  // decades
    const double least = lowHz / 1.02, greatest = highHz * 1.02;
    std::vector<double> centres;
    for (auto n = static_cast<int>(std::floor(std::log10(least / 1000) / perBand)) - 1;; ++n) {
        const double centre = 1000 * std::pow(10, perBand * (n + shift));
        if (centre > greatest) return centres;
        if (centre >= least) centres.push_back(centre);
    }
}

}  // namespace volvelle
