#include "Chamber/DriverFilter.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

DriverFilter crossover(CrossoverFilter::Kind kind, int order, bool high, double hz = 2000) {
    DriverFilter filter;
    (high ? filter.highPass : filter.lowPass) = {kind, order, hz};
    return filter;
}

constexpr auto linkwitzRiley = CrossoverFilter::Kind::linkwitzRiley;
constexpr auto butterworth = CrossoverFilter::Kind::butterworth;

// |H|² = 1 / (1 + (f/fc)^2n): Butterworth's definition (any handbook of filters).
TEST(DriverFilter, OfButterworthHasItsMagnitude) {
    for (int order = 1; order <= 4; ++order)
        for (const double f : {50.0, 700.0, 2000.0, 5100.0, 19000.0}) {
            const double x = std::pow(f / 2000, 2 * order);
            EXPECT_NEAR(std::norm(relativeResponse(crossover(butterworth, order, false), f)), 1 / (1 + x),
                        1e-12);
            EXPECT_NEAR(std::norm(relativeResponse(crossover(butterworth, order, true), f)), x / (1 + x),
                        1e-12);
        }
}

// Linkwitz, J. Audio Eng. Soc. 24(1), 1976: the branches are 6.02 dB down at the corner and add up to an
// all-pass, of second order with one of them reversed.
TEST(DriverFilter, OfLinkwitzRileyAddsUpToAnAllPass) {
    for (const int order : {2, 4})
        for (const double f : {50.0, 700.0, 2000.0, 5100.0, 19000.0}) {
            DriverFilter high = crossover(linkwitzRiley, order, true);
            high.reversed = order == 2;
            const auto low = relativeResponse(crossover(linkwitzRiley, order, false), f);
            EXPECT_NEAR(std::abs(low + relativeResponse(high, f)), 1, 1e-12) << order << " at " << f;
            EXPECT_TRUE(f != 2000 || std::abs(std::abs(low) - 0.5) < 1e-12);
        }
}

// A closed box: |H| at its resonance is its quality (handbook).
TEST(DriverFilter, OfAClosedBoxHasItsQualityAtResonance) {
    DriverFilter filter;
    filter.resonanceHz = 60;
    filter.quality = 0.8;
    EXPECT_NEAR(std::abs(relativeResponse(filter, 60)), 0.8, 1e-12);
    EXPECT_NEAR(std::abs(relativeResponse(filter, 6000)), 1, 1e-3);
    EXPECT_EQ(std::abs(relativeResponse(filter, 0)), 0);
    filter.gainDb = -6;
    filter.reversed = true;
    filter.delayS = 1e-3;
    const auto expected = -std::pow(10, -6 / 20.0) * std::polar(1.0, -2 * M_PI * 6000 * 1e-3);
    EXPECT_NEAR(std::abs(relativeResponse(filter, 6000) - expected), 0, 1e-2);
}

TEST(DriverFilter, RefusesOrdersThatItsKindDoesNotHave) {
    for (const int order : {0, 1, 3, 5})
        EXPECT_THROW(relativeResponse(crossover(linkwitzRiley, order, true), 100), Error) << order;
    for (const int order : {0, 5})
        EXPECT_THROW(relativeResponse(crossover(butterworth, order, false), 100), Error) << order;
}

// e^(-σ t) of a closed box, σ = ω / 2Q.
TEST(DriverFilter, SettlesToOneInAHundredMillion) {
    DriverFilter filter;
    filter.resonanceHz = 50;
    filter.quality = 1;
    EXPECT_NEAR(std::exp(-M_PI * 50 * settlingS(filter)), 1e-8, 1e-10);
    filter.quality = 0.3;  // two real poles: the slower one counts
    const double slow = 2 * M_PI * 50 * (1 / 0.6 - std::sqrt(1 / 0.36 - 1));
    EXPECT_NEAR(std::exp(-slow * settlingS(filter)), 1e-8, 1e-10);
}

}  // namespace
}  // namespace volvelle
