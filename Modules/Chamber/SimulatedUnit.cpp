#include "Chamber/SimulatedUnit.h"

#include "Chamber/Noise.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace volvelle {

namespace {

std::vector<double> binsHz(std::size_t length, double sampleRateHz) {
    std::vector<double> bins;
    for (std::size_t k = 0; k <= length / 2; ++k)
        bins.push_back(static_cast<double>(k) * sampleRateHz / static_cast<double>(length));
    return bins;
}

}  // namespace

SimulatedUnit::SimulatedUnit(const RigidSphere& sphere, std::vector<SimulatedSection> sections,
                             const SimulatedChain& chain, std::span<const double> excitation,
                             std::size_t recordingLength)
    : sections_(std::move(sections)),
      chain_(chain),
      recordingLength_(recordingLength),
      transform_(fastLength(recordingLength)),
      frequenciesHz_(binsHz(transform_.size(), chain.sampleRateHz)),
      field_(sphere, frequenciesHz_, chain.distanceM),
      excitation_(transform_.bins()) {
    AlignedVector<double> padded(transform_.size());
    std::copy_n(excitation.begin(), std::min(excitation.size(), padded.size()), padded.begin());
    transform_.forward(padded.data(), excitation_.data());
}

std::complex<double> SimulatedUnit::filter(const SimulatedSection& section, double frequencyHz) const {
    const std::complex<double> j(0, 1);
    const double omega = 2 * std::numbers::pi * frequencyHz;
    std::complex<double> acceleration = section.accelerationPerVolt * (section.reversed ? -1.0 : 1.0);
    if (section.resonanceHz > 0) {
        const auto s = j * frequencyHz / section.resonanceHz;
        acceleration *= s * s / (s * s + s / section.quality + 1.0);
    }
    if (section.cutoffHz > 0) {
        const auto s = j * frequencyHz / section.cutoffHz;
        acceleration /= s * s + std::numbers::sqrt2 * s + 1.0;
    }
    // From acceleration to the cap's velocity.
    return acceleration * std::polar(1.0, -omega * section.delayS) / (j * omega);
}

std::vector<double> SimulatedUnit::delayed(Spectrum spectrum, double delayS) const {
    for (std::size_t k = 0; k < spectrum.size(); ++k)
        spectrum[k] *= std::polar(1.0 / static_cast<double>(transform_.size()),
                                  -2 * std::numbers::pi * frequenciesHz_[k] * delayS);
    AlignedVector<double> samples(transform_.size());
    transform_.inverse(spectrum.data(), samples.data());
    return {samples.begin(), samples.begin() + static_cast<std::ptrdiff_t>(recordingLength_)};
}

SimulatedUnit::Recording SimulatedUnit::record(std::span<const std::size_t> sections,
                                               const Direction& direction, std::uint64_t seed,
                                               double jitterS) const {
    Spectrum sound(excitation_.size());
    for (const std::size_t number : sections) {
        const SimulatedSection& section = sections_.at(number);
        const auto pressure = field_.pressure(section.cap, direction);
        for (std::size_t k = 1; k < sound.size(); ++k)
            sound[k] +=
                excitation_[k] * chain_.voltsPerFullScale * filter(section, frequenciesHz_[k]) * pressure[k];
    }
    Recording out{delayed(std::move(sound), chain_.latencyS + jitterS),
                  delayed(excitation_, chain_.latencyS + jitterS)};
    double loudest = 0;
    for (const double p : out.microphone) loudest = std::max(loudest, std::abs(p));
    // x + a x² has a second harmonic of a A / 2 relative to the amplitude A.
    const double square = loudest > 0 ? 2 * chain_.secondHarmonic / loudest : 0;
    Noise noise(seed);
    for (double& p : out.microphone)
        p = (p + square * p * p + chain_.noisePa * noise()) / chain_.pascalPerFullScale;
    for (double& v : out.loopback) v = chain_.loopbackGain * v + chain_.loopbackNoise * noise();
    return out;
}

}  // namespace volvelle
