#include "Chamber/DriverSound.h"

#include "Signal/ComplexLoops.h"
#include "Signal/FourierTransform.h"

#include <algorithm>
#include <utility>

namespace volvelle {

namespace {

/// The polynomial of a signal that is given and returned as its spectrum of `length` samples.
void bend(const DriverNonlinearity& how, std::size_t length, ChamberSpectrum& spectrum) {
    const RealTransform<double> twice(2 * length);
    ChamberSpectrum wide(twice.bins());
    std::copy(spectrum.begin(), spectrum.end() - 1, wide.begin());
    AlignedVector<double> signal(twice.size());
    twice.inverse(wide.data(), signal.data());
    for (double& x : signal) {
        x /= static_cast<double>(length);
        x += x * x * (how.a2PerV + how.a3PerV2 * x);
    }
    twice.forward(signal.data(), wide.data());
    for (std::size_t k = 0; k + 1 < spectrum.size(); ++k) spectrum[k] = 0.5 * wide[k];
    spectrum.back() = 0;
}

}  // namespace

DriverSound::DriverSound(std::vector<SceneDriver> drivers, double sampleRateHz, double voltsPerFullScale)
    : drivers_(std::move(drivers)), sampleRateHz_(sampleRateHz), voltsPerFullScale_(voltsPerFullScale) {
}

DriverSound::Played& DriverSound::played(std::span<const float> samples, std::size_t length) {
    for (Played& known : kept_)
        if (known.length == length && std::ranges::equal(known.samples, samples)) return known;
    const RealTransform<double> transform(length);
    AlignedVector<double> padded(length);
    std::copy_n(samples.begin(), std::min(samples.size(), length), padded.begin());
    ChamberSpectrum spectrum(transform.bins());
    transform.forward(padded.data(), spectrum.data());
    if (kept_.size() >= mostKept()) kept_.pop_front();
    return kept_.emplace_back(Played{{samples.begin(), samples.end()},
                                     length,
                                     std::move(spectrum),
                                     std::vector<std::optional<ChamberSpectrum>>(drivers_.size())});
}

ChamberSpectrum DriverSound::accelerated(const SceneDriver& driver, const Played& sound) const {
    ChamberSpectrum out = sound.spectrum;
    for (auto& value : out) value *= voltsPerFullScale_;
    const bool isBent = !driver.nonlinearity.isLinear();
    const bool isAhead = driver.nonlinearity.place == DriverNonlinearity::Place::voltage;
    if (isBent && isAhead) bend(driver.nonlinearity, sound.length, out);
    for (std::size_t k = 0; k < out.size(); ++k) {
        const double frequencyHz = static_cast<double>(k) * sampleRateHz_ / static_cast<double>(sound.length);
        out[k] = product(out[k], relativeResponse(driver.filter, frequencyHz));
    }
    if (isBent && !isAhead) bend(driver.nonlinearity, sound.length, out);
    for (auto& value : out) value *= driver.filter.accelerationPerVolt;
    return out;
}

const ChamberSpectrum& DriverSound::signal(std::span<const float> samples, std::size_t length) {
    return played(samples, length).spectrum;
}

const ChamberSpectrum& DriverSound::acceleration(std::size_t driver, std::span<const float> samples,
                                                 std::size_t length) {
    Played& sound = played(samples, length);
    std::optional<ChamberSpectrum>& known = sound.accelerations.at(driver);
    if (!known) known = accelerated(drivers_[driver], sound);
    return *known;
}

}  // namespace volvelle
