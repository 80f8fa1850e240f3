#include "Chamber/SimulatedUnit.h"

#include "Chamber/FieldBank.h"
#include "Chamber/Noise.h"
#include "Chamber/SumOfFields.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace volvelle {

namespace {

DriverFilter filterOf(const SimulatedSection& section) {
    DriverFilter filter;
    filter.accelerationPerVolt = section.accelerationPerVolt;
    filter.resonanceHz = section.resonanceHz;
    filter.quality = section.quality;
    filter.cutoffHz = section.cutoffHz;
    filter.delayS = section.delayS;
    filter.reversed = section.reversed;
    return filter;
}

}  // namespace

SimulatedUnit::SimulatedUnit(const RigidSphere& sphere, std::vector<SimulatedSection> sections,
                             const SimulatedChain& chain, std::span<const double> excitation,
                             std::size_t recordingLength)
    : sphere_(sphere),
      sections_(std::move(sections)),
      chain_(chain),
      recordingLength_(recordingLength),
      transform_(fastLength(recordingLength)),
      field_(sphere, chain.sampleRateHz / 2, chain.distanceM),
      excitation_(transform_.bins()) {
    AlignedVector<double> padded(transform_.size());
    std::copy_n(excitation.begin(), std::min(excitation.size(), padded.size()), padded.begin());
    transform_.forward(padded.data(), excitation_.data());
    for (const SimulatedSection& section : sections_) {
        Spectrum& acceleration = accelerations_.emplace_back(excitation_);
        for (std::size_t k = 0; k < acceleration.size(); ++k)
            acceleration[k] *=
                chain.voltsPerFullScale * section.accelerationPerVolt *
                relativeResponse(filterOf(section), static_cast<double>(k) * chain.sampleRateHz /
                                                        static_cast<double>(transform_.size()));
    }
}

std::vector<double> SimulatedUnit::delayed(Spectrum spectrum, double delayS) const {
    delaySpectrum(delayS * chain_.sampleRateHz / static_cast<double>(transform_.size()), spectrum);
    AlignedVector<double> samples(transform_.size());
    transform_.inverse(spectrum.data(), samples.data());
    for (double& x : samples) x /= static_cast<double>(transform_.size());
    return {samples.begin(), samples.begin() + static_cast<std::ptrdiff_t>(recordingLength_)};
}

SimulatedUnit::Recording SimulatedUnit::record(std::span<const std::size_t> sections,
                                               const Direction& direction, std::uint64_t seed,
                                               double jitterS) const {
    Spectrum sound(excitation_.size());
    FieldBank::Fields fields{direction, chain_.distanceM, field_.stepHz(), field_.wayM(), {}};
    std::vector<SoundPart> parts;
    for (const std::size_t number : sections) {
        fields.samples.push_back(field_.samples(sections_.at(number).cap, direction, {}));
        parts.push_back({parts.size(), accelerations_[number], 1});
    }
    addPressure(fields, parts,
                {chain_.sampleRateHz / static_cast<double>(transform_.size()), sphere_.speedOfSound,
                 sphere_.speedOfSound, 1, 0},
                sound);
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
