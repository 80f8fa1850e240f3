#include "Signal/Deconvolution.h"
#include "Signal/PlainTransform.h"
#include "Support/PlayedSweep.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <random>

namespace volvelle {
namespace {

constexpr double rate = 48000;
constexpr std::size_t recordingLength = 72000;

const PlayedSweep played{synchronisedSweep(30, 20000, 1.0), 0.02, 0.002};
const ExponentialSweep& sweep = played.sweep;

std::vector<double> delayedSweep(double delaySamples, double gain = 1) {
    std::vector<double> x(recordingLength);
    for (std::size_t n = 0; n < x.size(); ++n)
        x[n] = gain * played.at((static_cast<double>(n) - delaySamples) / rate);
    return x;
}

/// A system of four taps followed by a resonance of second order, sample by sample.
struct System {
    std::vector<double> taps{1, -0.4, 0, 0.25};
    double a1 = -1.8, a2 = 0.83;

    std::vector<double> through(const std::vector<double>& x) const {
        std::vector<double> y(x.size());
        for (std::size_t n = 0; n < x.size(); ++n) {
            for (std::size_t k = 0; k < std::min(taps.size(), n + 1); ++k) y[n] += taps[k] * x[n - k];
            if (n > 0) y[n] -= a1 * y[n - 1];
            if (n > 1) y[n] -= a2 * y[n - 2];
        }
        return y;
    }

    std::complex<double> at(double f) const {
        const auto z = std::polar(1.0, -2 * M_PI * f / rate);
        std::complex<double> b = 0, zk = 1;
        for (const double tap : taps) b += tap * zk, zk *= z;
        return b / (1.0 + a1 * z + a2 * z * z);
    }
};

std::vector<float> asFloats(const std::vector<double>& x, double offset = 0) {
    std::vector<float> out;
    for (const double v : x) out.push_back(static_cast<float>(v + offset));
    return out;
}

struct Deconvolved {
    const Deconvolution& d;
    AlignedVector<float> impulse;

    Deconvolved(const Deconvolution& deconvolution, const std::vector<float>& recording,
                const std::vector<float>& loopback = {})
        : d(deconvolution), impulse(deconvolution.length()) {
        Deconvolution::Workspace w(d);
        d.impulse(recording, loopback, w, impulse);
    }
    /// Response at a frequency, the band limit divided out.
    std::complex<double> at(double f) const {
        // The second half of the circle are negative times.
        const std::span<const float> circle(impulse);
        const std::size_t half = circle.size() / 2;
        return (plain::transformAt(circle.first(half), f / rate) +
                plain::transformAt(circle.subspan(half), f / rate, -static_cast<std::ptrdiff_t>(half))) /
               d.shape().at(f);
    }
};

const Deconvolution& deconvolution() {
    static const Deconvolution d(played.samples(rate), rate, recordingLength);
    return d;
}

const std::vector<double> inBand{36, 50.3, 99, 400, 1000, 3333, 9999, 15000, 18500};

void expectSystem(const Deconvolved& found, double delaySamples, double gain) {
    const System system;
    for (const double f : inBand) {
        const auto expected = gain * system.at(f) * std::polar(1.0, -2 * M_PI * f * delaySamples / rate);
        const auto ratio = found.at(f) / expected;
        EXPECT_NEAR(plain::decibels(std::abs(ratio)), 0, 0.003) << f;
        EXPECT_NEAR(std::arg(ratio) * 180 / M_PI, 0, 0.02) << f;
    }
}

TEST(Deconvolution, KnowsItsSweepAndBand) {
    const auto& d = deconvolution();
    ASSERT_TRUE(d.sweep());
    EXPECT_NEAR(d.band().lowHz / 30, 1, 0.01);  // faded in: it is first heard a little later
    EXPECT_NEAR(d.band().highHz / 20000, 1, 0.01);
    EXPECT_GE(d.length(), recordingLength);
    EXPECT_EQ(d.sampleRateHz(), rate);
}

TEST(Deconvolution, RecoversASystemWithFractionalDelaysWithoutLoopback) {
    for (const double delay : {0.0, 100.0, 271.37, 1234.5})
        expectSystem({deconvolution(), asFloats(System{}.through(delayedSweep(delay, 0.5)))}, delay, 0.5);
}

TEST(Deconvolution, WithLoopbackTakesItsTimeAndGainWhateverItsDelay) {
    for (const double latency : {0.0, 480.3, 2000.77})
        for (const double gain : {1.0, -0.25}) {
            const auto microphone = asFloats(System{}.through(delayedSweep(latency + 271.37)));
            const auto loopback = asFloats(delayedSweep(latency, gain));
            expectSystem({deconvolution(), microphone, loopback}, 271.37, 1 / gain);
        }
}

TEST(Deconvolution, IsNotMovedByAConvertersOffset) {
    const auto y = System{}.through(delayedSweep(300.2));
    expectSystem({deconvolution(), asFloats(y, 0.05)}, 300.2, 1);
    expectSystem({deconvolution(), asFloats(y, 0.05), asFloats(delayedSweep(0), -0.02)}, 300.2, 1);
}

TEST(Deconvolution, IsLinear) {
    const auto a = System{}.through(delayedSweep(100)), b = delayedSweep(333.3);
    std::vector<double> both(a.size());
    for (std::size_t n = 0; n < a.size(); ++n) both[n] = 0.5 * a[n] - 0.25 * b[n];
    const Deconvolved x(deconvolution(), asFloats(a)), y(deconvolution(), asFloats(b)),
        z(deconvolution(), asFloats(both));
    double worst = 0, loudest = 0;
    for (std::size_t n = 0; n < z.impulse.size(); ++n) {
        loudest = std::max(loudest, std::abs(double{z.impulse[n]}));
        worst = std::max(
            worst, std::abs(double{z.impulse[n]} - 0.5 * double{x.impulse[n]} + 0.25 * double{y.impulse[n]}));
    }
    EXPECT_LT(worst, 2e-6 * loudest);
}

TEST(Deconvolution, OfTheExcitationItselfIsTheBandShape) {
    const Deconvolved found(deconvolution(), played.samples(rate));
    for (const double f : inBand) EXPECT_LT(std::abs(found.at(f) - 1.0), 3e-4) << f;
}

// Butterworth of fourth order: -3.01 dB at its corner, an octave below the band; 24 dB per octave below.
TEST(BandShape, IsACausalHighPassAndATaper) {
    const BandShape shape({40, 16000}, rate);
    EXPECT_NEAR(plain::decibels(std::abs(shape.at(20))), -3.0103, 1e-3);
    EXPECT_NEAR(plain::decibels(std::abs(shape.at(2) / shape.at(1))), 24.08, 0.01);
    for (const double f : {200.0, 1000.0, 16000.0}) EXPECT_NEAR(std::abs(shape.at(f)), 1, 1e-4);
    EXPECT_NEAR(std::abs(shape.at(16000 * 1.03)), 0.5, 1e-3);
    EXPECT_EQ(shape.at(16000 * 1.06), 0.0);
    EXPECT_EQ(shape.at(23000), 0.0);
    // |H|² = 1 / (1 + (fc/f)^8) at any frequency.
    for (const double f : {5.0, 13.0, 27.0, 90.0})
        EXPECT_NEAR(std::norm(shape.at(f)), 1 / (1 + std::pow(20 / f, 8)), 1e-12);
}

TEST(LoopbackDelay, IsFoundToAHundredthOfASampleInBothPolarities) {
    Deconvolution::Workspace w(deconvolution());
    std::mt19937 generator(9);
    std::uniform_real_distribution<double> anywhere(0, 3000);
    for (int i = 0; i < 12; ++i) {
        const double delay = i == 0 ? 0 : i == 1 ? 512.5 : anywhere(generator);
        for (const double gain : {0.7, -0.01})
            EXPECT_NEAR(deconvolution().delayS(asFloats(delayedSweep(delay, gain)), w) * rate, delay, 0.01)
                << gain;
    }
}

TEST(Deconvolution, RefusesSilence) {
    EXPECT_THROW(Deconvolution(std::vector<float>(48000, 0.0F), rate, 48000), Error);
    Deconvolution::Workspace w(deconvolution());
    AlignedVector<float> impulse(deconvolution().length());
    const std::vector<float> silent(recordingLength, 0.0F);
    EXPECT_THROW(deconvolution().impulse(silent, silent, w, impulse), Error);
    const std::vector<float> tooLong(deconvolution().length() + 1, 0.0F);
    EXPECT_THROW(deconvolution().impulse(tooLong, {}, w, impulse), Error);
}

/// |h_n(f)|: the harmonic's impulse leads by L ln n; cut out, flat for half the way to its neighbours.
double harmonicAt(const Deconvolved& found, int n, double f) {
    const auto length = static_cast<std::ptrdiff_t>(found.impulse.size());
    const auto lead = static_cast<std::ptrdiff_t>(std::lround(sweep.leadS(n) * rate));
    const auto reach = static_cast<std::ptrdiff_t>(0.75 * (sweep.leadS(n + 1) - sweep.leadS(n)) * rate);
    std::complex<double> sum = 0;
    for (std::ptrdiff_t m = -reach; m <= reach; ++m) {
        const double out =
            std::min(1.0, 2 - 2 * std::abs(static_cast<double>(m)) / static_cast<double>(reach));
        const auto at = ((m - lead) % length + length) % length;
        sum += double{found.impulse[static_cast<std::size_t>(at)]} * std::pow(std::sin(M_PI / 2 * out), 2) *
               std::polar(1.0, -2 * M_PI * f * static_cast<double>(m) / rate);
    }
    return std::abs(sum / found.d.shape().at(f));
}

// Trigonometry: sin² and sin³ at amplitude A give a2 A²/2 at twice, a3 A³/4 at three times the frequency, and
// the fundamental becomes A + 3 a3 A³/4. Novak, Lotton & Simon, J. Audio Eng. Soc. 63(10), 2015: they lead by
// L ln n.
TEST(Harmonics, OfAMemorylessPolynomialHaveTheAmplitudesOfTrigonometryAtTheirLead) {
    constexpr double a2 = 0.1, a3 = 0.2, amplitude = 0.8;
    std::vector<double> y = delayedSweep(0, amplitude);
    for (double& v : y) v = v + a2 * v * v + a3 * v * v * v;
    const Deconvolved found(deconvolution(), asFloats(y));
    for (const double f : {200.0, 500.0, 1000.0, 2000.0}) {
        EXPECT_NEAR(harmonicAt(found, 1, f) / (amplitude + 0.75 * a3 * std::pow(amplitude, 3)), 1, 0.002)
            << f;
        EXPECT_NEAR(harmonicAt(found, 2, 2 * f) / (a2 * amplitude * amplitude / 2), 1, 0.005) << f;
        EXPECT_NEAR(harmonicAt(found, 3, 3 * f) / (a3 * std::pow(amplitude, 3) / 4), 1, 0.005) << f;
        EXPECT_LT(harmonicAt(found, 4, 4 * f), 1e-4) << f;
    }
}

}  // namespace
}  // namespace volvelle
