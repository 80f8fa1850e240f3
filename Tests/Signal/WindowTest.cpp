#include "Signal/Window.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

const Window window{-0.001, 0.002, 0.004, 0.019};

TEST(Window, RisesIsOneAndFallsAsARaisedCosine) {
    EXPECT_EQ(window.valueAt(-0.00101), 0);
    EXPECT_NEAR(window.valueAt(-0.001), 0, 1e-12);
    EXPECT_NEAR(window.valueAt(-0.0005), std::pow(std::sin(M_PI / 8), 2), 1e-12);  // a quarter up: sin²(π/8)
    EXPECT_NEAR(window.valueAt(0), 0.5, 1e-12);
    EXPECT_EQ(window.valueAt(0.001), 1);
    EXPECT_EQ(window.valueAt(0.010), 1);
    EXPECT_EQ(window.valueAt(0.015), 1);
    EXPECT_NEAR(window.valueAt(0.017), 0.5, 1e-12);
    EXPECT_NEAR(window.valueAt(0.018), std::pow(std::sin(M_PI / 8), 2), 1e-12);
    EXPECT_EQ(window.valueAt(0.0191), 0);
}

TEST(Window, WithoutFadesIsARectangle) {
    const Window rectangle{0.001, 0, 0, 0.002};
    for (const double t : {0.001, 0.0015, 0.002}) EXPECT_EQ(rectangle.valueAt(t), 1);
    for (const double t : {0.000999, 0.002001}) EXPECT_EQ(rectangle.valueAt(t), 0);
}

// Handbook: a window of length T resolves nothing below about 1/T.
TEST(Window, ResolvesNothingBelowOneOverItsLength) {
    EXPECT_NEAR(window.lengthS(), 0.020, 1e-15);
    EXPECT_NEAR(window.resolutionHz(), 50, 1e-9);
}

TEST(SampledWindow, HoldsEverySampleWithinTheWindowAndNoOther) {
    for (const double rate : {44100.0, 48000.0, 96000.0}) {
        const SampledWindow s = sampled(window, rate);
        const auto timeOf = [&](std::ptrdiff_t n) { return static_cast<double>(n) / rate; };
        EXPECT_GE(timeOf(s.firstSample), window.startS);
        EXPECT_LT(timeOf(s.firstSample - 1), window.startS);
        const auto last = s.firstSample + std::ssize(s.weights) - 1;
        EXPECT_LE(timeOf(last), window.endS);
        EXPECT_GT(timeOf(last + 1), window.endS);
        for (std::size_t i = 0; i < s.weights.size(); ++i)
            EXPECT_EQ(s.weights[i], window.valueAt(timeOf(s.firstSample + static_cast<std::ptrdiff_t>(i))));
    }
}

TEST(SampledWindow, OfNoSampleIsRefused) {
    EXPECT_THROW(sampled({0.1e-5, 0, 0, 0.9e-5}, 48000), Error);
    EXPECT_THROW(sampled({0.002, 0, 0, 0.002}, 48000), Error);
    EXPECT_THROW(sampled({0.002, 0, 0, 0.001}, 48000), Error);
}

}  // namespace
}  // namespace volvelle
