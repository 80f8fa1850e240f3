#include "Chamber/SimulatedUnit.h"
#include "Chamber/Stage.h"
#include "Signal/Deconvolution.h"
#include "Signal/Excitation.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace volvelle {
namespace {

using stage::rate;
constexpr double radiusM = 0.1, c = 343.2, rho = 1.2041;
const RigidSphere sphere{radiusM, c, rho};
const SimulatedSection front{"front", {{0, 0}, 25}, 80, 60, 0.8, 9000, 0, false};
const SimulatedSection rear{"rear", {{180, 0}, 30}, 50, 100, 0.7, 0, 2e-4, true};
const SimulatedChain silentChain{rate, 1.5, 4.0, 2.5, 0, 0, 7.3e-3, 1, 0};

const std::vector<double>& excitation() {
    static const auto x = [] {
        auto samples = sweepSamples(synchronisedSweep(40, 20000, 0.5), rate, 0.02, 0.002);
        for (double& v : samples) v *= 0.5;
        return samples;
    }();
    return x;
}

std::vector<float> asFloats(const std::vector<double>& x) {
    return {x.begin(), x.end()};
}

/// Pressure in Pa per V, assembled here from the series and the handbook's second-order filters.
std::complex<double> exactPressure(const SimulatedSection& s, const Direction& where, double f) {
    const std::complex<double> jw(0, 2 * M_PI * f);
    std::complex<double> acceleration = s.reversed ? -s.accelerationPerVolt : s.accelerationPerVolt;
    const double wc = 2 * M_PI * s.cutoffHz;
    acceleration *= stage::highPass(f, s.resonanceHz, s.quality);
    if (s.cutoffHz > 0) acceleration *= wc * wc / (jw * jw + std::sqrt(2.0) * wc * jw + wc * wc);
    const SphereField field(sphere, {f}, silentChain.distanceM);
    return acceleration / jw * std::exp(-jw * s.delayS) * field.pressure(s.cap, where)[0];
}

const std::vector<Direction> directions{{0, 0}, {50, 0}, {180, 0}, {0, 60}, {-120, 20}};
const std::vector<double> frequencies{55, 100, 317, 1000, 4000, 12000};

std::vector<std::complex<double>> measured(const SimulatedUnit& unit,
                                           const std::vector<std::size_t>& sections, const Direction& where,
                                           double jitterS) {
    const auto recording = unit.record(sections, where, 1, jitterS);
    auto out = stage::transferAt(frequencies, asFloats(excitation()), asFloats(recording.microphone),
                                 asFloats(recording.loopback));
    for (auto& p : out) p *= silentChain.pascalPerFullScale / silentChain.voltsPerFullScale;
    return out;
}

TEST(SimulatedUnit, RecordingsDeconvolveToTheExactFieldOfItsSectionsAndTheirSum) {
    const SimulatedUnit unit(sphere, {front, rear}, silentChain, excitation(), 40000);
    for (const Direction& where : directions)
        for (const auto& sections : {std::vector<std::size_t>{0}, {1}, {0, 1}}) {
            const auto found = measured(unit, sections, where, 1e-5);
            double loudest = 0;
            for (const auto& p : found) loudest = std::max(loudest, std::abs(p));
            for (std::size_t i = 0; i < frequencies.size(); ++i) {
                std::complex<double> expected = 0;
                for (const std::size_t s : sections)
                    expected += exactPressure(s == 0 ? front : rear, where, frequencies[i]);
                EXPECT_LT(std::abs(found[i] - expected), 1e-3 * std::abs(expected) + 1e-5 * loudest)
                    << frequencies[i] << " Hz at " << positionName(where);
            }
        }
}

TEST(SimulatedUnit, RecordsTheExcitationInItsLoopbackAfterTheLatency) {
    const SimulatedUnit unit(sphere, {front}, silentChain, excitation(), 40000);
    const Deconvolution d(asFloats(excitation()), rate, 40000);
    Deconvolution::Workspace w(d);
    for (const double jitter : {0.0, 3.7e-5}) {
        const auto loopback =
            asFloats(unit.record(std::array<std::size_t, 1>{0}, {0, 0}, 5, jitter).loopback);
        EXPECT_NEAR(d.delayS(loopback, w), silentChain.latencyS + jitter, 0.01 / rate);
    }
}

TEST(SimulatedUnit, AddsNoiseOfTheStatedPressureThatDependsOnTheSeedAlone) {
    SimulatedChain chain = silentChain;
    chain.noisePa = 0.02;
    const SimulatedUnit noisy(sphere, {front}, chain, excitation(), 40000);
    const SimulatedUnit quiet(sphere, {front}, silentChain, excitation(), 40000);
    const std::array<std::size_t, 1> first{0};
    const auto a = noisy.record(first, {0, 0}, 5, 0).microphone,
               again = noisy.record(first, {0, 0}, 5, 0).microphone,
               other = noisy.record(first, {0, 0}, 6, 0).microphone,
               clean = quiet.record(first, {0, 0}, 5, 0).microphone;
    EXPECT_EQ(a, again);
    EXPECT_NE(a, other);
    double power = 0;
    for (std::size_t n = 0; n < a.size(); ++n) power += (a[n] - clean[n]) * (a[n] - clean[n]) / 40000.0;
    EXPECT_NEAR(std::sqrt(power) * chain.pascalPerFullScale / 0.02, 1, 4.5 / std::sqrt(2 * 40000.0));
}

// x + a x² has a second harmonic of a A / 2 at amplitude A: trigonometry.
TEST(SimulatedUnit, AddsTheSecondHarmonicThatIsAskedFor) {
    std::vector<double> tone(40000);
    for (std::size_t n = 0; n < tone.size(); ++n)
        tone[n] = std::sin(2 * M_PI * 1200 * static_cast<double>(n) / rate);
    SimulatedChain chain = silentChain;
    chain.secondHarmonic = 0.01;
    const SimulatedUnit unit(sphere, {front}, chain, tone, 40000);
    const auto y = unit.record(std::array<std::size_t, 1>{0}, {0, 0}, 5, 0).microphone;
    const auto amplitudeAt = [&](double f) {
        std::complex<double> sum = 0;
        for (std::size_t n = 20000; n < 40000; ++n)  // whole turns, long after the beginning
            sum += y[n] * std::polar(1.0, -2 * M_PI * std::fmod(f / rate * static_cast<double>(n), 1.0));
        return std::abs(sum);
    };
    EXPECT_NEAR(amplitudeAt(2400) / amplitudeAt(1200), 0.01, 2e-4);
}

}  // namespace
}  // namespace volvelle
