#include "Chamber/Resampling.h"

#include "Chamber/CoarseField.h"
#include "Signal/FourierTransform.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace volvelle {

std::vector<double> resampled(const ChamberSpectrum& spectrum, std::size_t length, double ppm,
                              std::size_t count) {
    constexpr std::size_t finer = 4;
    const RealTransform<double> transform(finer * length);
    ChamberSpectrum wide(transform.bins());
    std::copy(spectrum.begin(), spectrum.end() - 1, wide.begin());
    AlignedVector<double> signal(transform.size());
    transform.inverse(wide.data(), signal.data());
    std::vector<double> out(count);
    std::array<double, TenPoints::count> weights;
    for (std::size_t n = 0; n < count; ++n) {
        const double place = static_cast<double>(finer * n) * (1 - ppm * 1e-6);
        const auto whole = static_cast<std::size_t>(place);
        TenPoints::weights(place - static_cast<double>(whole), weights);
        double sum = 0;
        for (std::size_t i = 0; i < weights.size(); ++i)
            sum += weights[i] * signal[(whole + i + signal.size() - TenPoints::before) % signal.size()];
        out[n] = sum / static_cast<double>(length);
    }
    return out;
}

}  // namespace volvelle
