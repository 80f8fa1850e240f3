#include "Chamber/SumOfFields.h"

#include "Signal/ComplexLoops.h"

#include <array>
#include <cmath>
#include <numbers>

namespace volvelle {

namespace {

/// e^(-j 2π k turns) for growing k, taken anew every 64 steps.
class Rotation {
public:
    explicit Rotation(double turns) : turns_(turns), step_(at(1)) {}
    std::complex<double> next() {
        if (number_ % 64 == 0) value_ = at(number_);
        ++number_;
        const std::complex<double> now = value_;
        value_ = product(value_, step_);
        return now;
    }

private:
    std::complex<double> at(std::size_t k) const {
        const double whole = static_cast<double>(k) * turns_;
        return std::polar(1.0, -2 * std::numbers::pi * (whole - std::floor(whole)));
    }

    double turns_;
    std::complex<double> step_, value_;
    std::size_t number_ = 0;
};

std::complex<double> interpolated(const double* samples,
                                  const std::array<double, TenPoints::count>& weights) {
    double real = 0, imaginary = 0;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        real += weights[i] * samples[2 * i];
        imaginary += weights[i] * samples[2 * i + 1];
    }
    return {real, imaginary};
}

}  // namespace

void addPressure(const FieldBank::Fields& fields, std::span<const SoundPart> parts, const SoundPath& path,
                 std::span<std::complex<double>> out) {
    const double spacing = path.binHz * path.referenceSpeed / path.speedOfSound / fields.stepHz;
    Rotation turn(path.binHz * (fields.wayM / path.speedOfSound + path.delayS));
    std::array<double, TenPoints::count> weights;
    for (std::size_t k = 0; k < out.size(); ++k) {
        const double place = static_cast<double>(k) * spacing;
        const auto first = static_cast<std::size_t>(place);
        TenPoints::weights(place - static_cast<double>(first), weights);
        std::complex<double> sum = 0;
        for (const SoundPart& part : parts) {
            const auto* samples = reinterpret_cast<const double*>(fields.samples[part.cap].data() + first);
            sum += part.sign * product(interpolated(samples, weights), part.acceleration[k]);
        }
        out[k] += path.densityRatio * product(sum, turn.next());
    }
}

void delaySpectrum(double turns, std::span<std::complex<double>> values) {
    Rotation turn(turns);
    for (auto& value : values) value = product(value, turn.next());
}

}  // namespace volvelle
