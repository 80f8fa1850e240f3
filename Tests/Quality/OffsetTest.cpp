#include "Quality/Judge.h"
#include "Quality/Synthetic.h"

#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

using namespace synthetic;

constexpr double resonanceHz = 48;

/// What swings back with a time constant of 20 ms at a closed box's resonance when an offset ends.
void addSwing(const Scene& scene, std::vector<double>& samples, double atS, double amount) {
    for (std::size_t n = 0; n < samples.size(); ++n) {
        const double t = static_cast<double>(n) / scene.rate - atS;
        if (t < 0) continue;
        samples[n] += amount * std::exp(-t / 0.02) * std::sin(2 * M_PI * resonanceHz * t);
    }
}

std::vector<std::string> doubtsWith(double amount, std::uint64_t seed) {
    Scene scene;
    scene.sweepS = 1;
    auto samples = scene.through(delayed(75, 0.006));
    const double played = amplitude * std::pow(10, 75.0 / 20) * 20e-6 / amplitude * std::sqrt(2) /
                          scene.pascalPerFullScale;  // amplitude of the sweep in sample values
    addSwing(scene, samples, scene.beginS + scene.sweep().durationS + 0.006, amount * played);
    addNoise(samples, noiseDeviation(scene, 18), seed);
    const Recorded r = recorded(samples);
    return Judge(scene.drive(), scene.calibration()).judge(r.samples, {}, {r.raw, 24}).doubts;
}

// Even-order distortion a2 A / 2 of 0.6 % (trigonometry) offsets a diaphragm by as much of its stroke.
TEST(OffsetThatEndsWithTheSweep, IsNoNoise) {
    for (std::uint64_t seed = 1; seed <= 5; ++seed) EXPECT_TRUE(doubtsWith(0.006, seed).empty()) << "seed " << seed;
}

TEST(OffsetThatEndsWithTheSweep, DoesNotHideALouderBangThere) {
    for (std::uint64_t seed = 1; seed <= 5; ++seed) EXPECT_FALSE(doubtsWith(0.3, seed).empty()) << "seed " << seed;
}

TEST(DigitalSilence, BeforeTheSweepIsNoMeasureOfTheNoise) {
    Scene scene;
    scene.sweepS = 1;
    const Recorded r = recorded(scene.through(delayed(75, 0.006), 0.001));
    EXPECT_TRUE(Judge(scene.drive(), scene.calibration()).judge(r.samples, {}, {r.raw, 24}).doubts.empty());
}

}  // namespace
}  // namespace volvelle
