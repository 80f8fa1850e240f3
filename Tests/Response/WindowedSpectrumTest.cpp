#include "Response/WindowedSpectrum.h"
#include "Signal/FrequencyGrid.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace volvelle {
namespace {

constexpr double rate = 48000;

ResolvedRecipe twoWindows() {
    ResolvedRecipe r;
    r.window = {0.001, 0.001, 0.004, 0.012};
    r.lowWindow = Window{-0.002, 0.002, 0.010, 0.040};
    r.recipe.crossFadeHz = 800;
    r.recipe.crossFadeOctaves = 1;
    return r;
}

TEST(LowWindowShare, IsOneBelowHalfAtAndNothingAboveTheCrossFade) {
    Recipe r;
    EXPECT_EQ(lowWindowShare(r, 100), 0);  // no cross-fade: one window
    r.crossFadeHz = 1000;
    r.crossFadeOctaves = 2;
    EXPECT_EQ(lowWindowShare(r, 499), 1);
    EXPECT_NEAR(lowWindowShare(r, 1000), 0.5, 1e-12);
    EXPECT_NEAR(lowWindowShare(r, 1000 / std::sqrt(2)), std::pow(std::cos(M_PI / 8), 2),
                1e-12);  // a quarter through
    EXPECT_EQ(lowWindowShare(r, 2001), 0);
    double before = 1;
    for (double f = 400; f < 2500; f *= 1.01) {
        const double share = lowWindowShare(r, f);
        EXPECT_LE(share, before);
        // Shares at equal distances on both sides of the centre add up to one.
        EXPECT_NEAR(share + lowWindowShare(r, 1e6 / f), 1, 1e-12);
        before = share;
    }
    r.crossFadeOctaves = 0;
    EXPECT_EQ(lowWindowShare(r, 999.9), 1);
    EXPECT_EQ(lowWindowShare(r, 1000.1), 0);
}

/// Σ h[n] w(t) e^(-jωt), term by term, from sample numbers first on.
std::complex<double> plainSum(const std::vector<float>& h, std::ptrdiff_t first, const Window& w, double f) {
    std::complex<double> sum = 0;
    for (std::size_t i = 0; i < h.size(); ++i) {
        const double t = static_cast<double>(first + static_cast<std::ptrdiff_t>(i)) / rate;
        double weight = t < w.startS || t > w.endS ? 0 : 1;
        if (t < w.startS + w.fadeInS) weight *= std::pow(std::sin(M_PI / 2 * (t - w.startS) / w.fadeInS), 2);
        if (t > w.endS - w.fadeOutS) weight *= std::pow(std::sin(M_PI / 2 * (w.endS - t) / w.fadeOutS), 2);
        sum += double{h[i]} * weight * std::polar(1.0, -2 * M_PI * std::fmod(f * t, 1.0));
    }
    return sum;
}

std::vector<float> randomImpulse(std::size_t n) {
    std::mt19937 generator(8);
    std::uniform_real_distribution<float> uniform(-1, 1);
    std::vector<float> h(n);
    for (auto& v : h) v = uniform(generator);
    return h;
}

void expectPlainSums(const ResolvedRecipe& recipe, const std::vector<double>& hz) {
    const WindowedSpectrum spectrum(recipe, hz, rate);
    const auto h = randomImpulse(spectrum.stretch().length);
    WindowedSpectrum::Workspace w(spectrum);
    std::vector<std::complex<double>> out(hz.size());
    for (int again = 0; again < 2; ++again) {
        spectrum(h, w, out);
        for (std::size_t i = 0; i < hz.size(); ++i) {
            const double low = recipe.lowWindow ? lowWindowShare(recipe.recipe, hz[i]) : 0;
            auto expected = (1 - low) * plainSum(h, spectrum.stretch().first, recipe.window, hz[i]);
            if (recipe.lowWindow)
                expected += low * plainSum(h, spectrum.stretch().first, *recipe.lowWindow, hz[i]);
            ASSERT_NEAR(std::abs(out[i] - expected), 0, 2e-5) << hz[i];  // of sums of about a hundred
        }
    }
}

TEST(WindowedSpectrum, IsThePlainSumThroughOneWindow) {
    ResolvedRecipe one = twoWindows();
    one.lowWindow.reset();
    one.recipe.crossFadeHz.reset();
    expectPlainSums(one, logarithmicGrid(20, 24000, 6));
}

TEST(WindowedSpectrum, IsThePlainSumThroughBothWindowsWithSharesThatAddUpToOne) {
    expectPlainSums(twoWindows(), logarithmicGrid(20, 24000, 6));
    expectPlainSums(twoWindows(), {30, 60});      // the low window alone
    expectPlainSums(twoWindows(), {5000, 9000});  // the main window alone
    ResolvedRecipe sharp = twoWindows();
    sharp.recipe.crossFadeOctaves = 0;
    expectPlainSums(sharp, {100, 799, 801, 5000});
}

TEST(WindowedSpectrum, NeedsTheStretchOfBothWindows) {
    const WindowedSpectrum spectrum(twoWindows(), std::vector<double>{100, 1000}, rate);
    EXPECT_EQ(spectrum.stretch().first, -96);
    EXPECT_EQ(spectrum.stretch().length, 96u + 1920u + 1u);
    WindowedSpectrum::Workspace w(spectrum);
    std::vector<std::complex<double>> out(2);
    EXPECT_THROW(spectrum(std::vector<float>(100), w, out), Error);
    EXPECT_THROW(WindowedSpectrum(twoWindows(), std::vector<double>{1000, 100}, rate), Error);
}

TEST(CopyStretch, GoesRoundTheCircle) {
    const std::vector<float> circle{0, 1, 2, 3, 4, 5, 6, 7};
    std::vector<float> out(4);
    copyStretch(circle, {-2, 4}, out);
    EXPECT_EQ(out, (std::vector<float>{6, 7, 0, 1}));
    copyStretch(circle, {3, 4}, out);
    EXPECT_EQ(out, (std::vector<float>{3, 4, 5, 6}));
    copyStretch(circle, {-10, 4}, out);
    EXPECT_EQ(out, (std::vector<float>{6, 7, 0, 1}));
    std::vector<float> tooLong(9);
    EXPECT_THROW(copyStretch(circle, {0, 9}, tooLong), Error);
}

}  // namespace
}  // namespace volvelle
