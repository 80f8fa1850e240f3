#include "Quantities/Angle.h"
#include "Quantities/Level.h"
#include "Quantities/Time.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <type_traits>

namespace volvelle {
namespace {

template <typename A, typename B>
concept Adds = requires(A a, B b) {
    a + b;
};
template <typename A, typename B>
concept Subtracts = requires(A a, B b) {
    a - b;
};
template <typename A, typename B>
concept Compares = requires(A a, B b) {
    a < b;
};

// What must not compile.
static_assert(!Adds<Level, Level> && !Adds<Level, double> && !Adds<Gain, double>);
static_assert(!Subtracts<Gain, Level> && !Compares<Level, Gain>);
static_assert(!Adds<AnglePosition, AnglePosition> && !Adds<AnglePosition, double> &&
              !Subtracts<AngleStep, AnglePosition>);
static_assert(!Compares<AnglePosition, AnglePosition>, "on a circle nothing is less");
static_assert(!Adds<Seconds, Samples> && !Adds<Samples, double> && !Compares<Seconds, Samples>);
static_assert(!std::is_convertible_v<double, Level> && !std::is_convertible_v<double, AnglePosition> &&
              !std::is_convertible_v<Samples, Seconds> && !std::is_convertible_v<Level, Gain>);

// What must, and into what.
static_assert(std::is_same_v<decltype(Level{} - Level{}), Gain> &&
              std::is_same_v<decltype(Level{} + Gain{}), Level>);
static_assert(std::is_same_v<decltype(Gain{} + Level{}), Level> &&
              std::is_same_v<decltype(Gain{} + Gain{}), Gain>);
static_assert(std::is_same_v<decltype(AnglePosition{} - AnglePosition{}), AngleStep>);
static_assert(std::is_same_v<decltype(AnglePosition{} + AngleStep{}), AnglePosition>);

// At compile time.
static_assert((Level{94} - Level{80}).db == 14 && (Level{80} + Gain{14}) == Level{94});
static_assert((AnglePosition(90) + AngleStep{60}).deg() == 150);
static_assert(duration(Samples{48}, 48000).s == 0.001);

TEST(Gain, FactorsAndRatiosAreInverse) {
    for (const double db : {-120.0, -3.0, 0.0, 6.02, 40.0}) {
        EXPECT_NEAR(Gain::ofFieldRatio(Gain{db}.fieldFactor()).db, db, 1e-12);
        EXPECT_NEAR(Gain::ofPowerRatio(Gain{db}.powerFactor()).db, db, 1e-12);
        EXPECT_NEAR(Gain{db}.fieldFactor() * Gain{db}.fieldFactor(), Gain{db}.powerFactor(),
                    1e-12 * Gain{db}.powerFactor());
    }
    EXPECT_DOUBLE_EQ(Gain{20}.fieldFactor(), 10);
    EXPECT_DOUBLE_EQ(Gain{10}.powerFactor(), 10);
}

TEST(Level, TwoEqualSoundsAreThreeDecibelsMore) {
    EXPECT_NEAR(sumOfPowers(Level{80}, Level{80}).db, 83.01, 0.005);  // +3.01 dB, handbook
    EXPECT_NEAR(sumOfPowers(Level{80}, Level{20}).db, 80, 1e-5);
}

TEST(AnglePosition, StaysOnTheCircle) {
    std::mt19937_64 random(20260314);
    for (int i = 0; i < 1000; ++i) {
        const double deg = static_cast<double>(static_cast<std::int64_t>(random() % 2000001) - 1000000) / 100;
        const double folded = AnglePosition(deg).deg();
        EXPECT_TRUE(folded > -180 && folded <= 180) << deg;
        EXPECT_NEAR(std::remainder(folded - deg, 360), 0, 1e-9) << deg;
    }
    EXPECT_EQ(AnglePosition(-180).deg(), 180);
    EXPECT_EQ(AnglePosition(190).deg(), -170);
    EXPECT_EQ(AnglePosition(350), AnglePosition(-10));
    EXPECT_EQ(AnglePosition(540).deg(), 180);
    EXPECT_EQ(AnglePosition(-540).deg(), 180);
}

TEST(AnglePosition, DifferenceIsTheShorterTurn) {
    EXPECT_EQ((AnglePosition(-170) - AnglePosition(170)).deg, 20);
    EXPECT_EQ((AnglePosition(170) - AnglePosition(-170)).deg, -20);
    EXPECT_EQ((AnglePosition(90) - AnglePosition(-90)).deg, 180);
    EXPECT_EQ((AnglePosition(-90) - AnglePosition(90)).deg, 180);
    for (int a = -180; a <= 180; a += 30)
        for (int b = -180; b <= 180; b += 30)
            EXPECT_EQ(AnglePosition(b) + (AnglePosition(a) - AnglePosition(b)), AnglePosition(a));
}

TEST(AngleStep, KeepsWholeTurns) {
    EXPECT_EQ((AngleStep{350} + AngleStep{20}).deg, 370);
}

TEST(Samples, ReturnFromTheirDuration) {
    for (const double rate : {44100.0, 48000.0, 88200.0, 96000.0, 192000.0})
        for (const std::int64_t count : {0L, 1L, 3L, 7L, 44099L, 1234567L, -5L}) {
            EXPECT_EQ(nearestSample(duration(Samples{count}, rate), rate), Samples{count});
            EXPECT_EQ(sampleAtOrBefore(duration(Samples{count}, rate), rate), Samples{count})
                << count << " at " << rate;
            EXPECT_EQ(sampleAtOrBefore(duration(Samples{count}, rate) + Seconds{0.9 / rate}, rate),
                      Samples{count});
            EXPECT_EQ(nearestSample(duration(Samples{count}, rate) + Seconds{0.9 / rate}, rate),
                      Samples{count + 1});
        }
}

}  // namespace
}  // namespace volvelle
