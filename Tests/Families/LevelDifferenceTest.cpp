#include "Families/LevelDifference.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <limits>

namespace volvelle {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr std::array hz{100.0, 200.0, 400.0, 800.0};

TEST(LevelDifference, IsTheLargestWithItsSignAndTheRootOfTheMeanSquare) {
    const std::array a{1.0, 2.0, 3.0, 4.0}, b{1.0, 5.0, 2.0, 3.0};
    const auto d = levelDifference({50, 1000}, hz, a, b);
    ASSERT_TRUE(d.has_value());
    EXPECT_EQ(d->largestDb, -3);
    EXPECT_EQ(d->atHz, 200);
    EXPECT_NEAR(d->rmsDb, std::sqrt((0 + 9 + 1 + 1) / 4.0), 1e-12);
}

TEST(LevelDifference, CountsOnlyWhatIsKnownOfBothWithinTheBand) {
    const std::array a{9.0, nan, 3.0, 4.0}, b{1.0, 5.0, 2.0, nan};
    const auto d = levelDifference({150, 1000}, hz, a, b);
    ASSERT_TRUE(d.has_value());
    EXPECT_EQ(d->largestDb, 1);
    EXPECT_EQ(d->rmsDb, 1);
    EXPECT_FALSE(levelDifference({150, 300}, hz, a, b).has_value());
    EXPECT_FALSE(levelDifference({0, 0}, hz, a, b).has_value());
}

}  // namespace
}  // namespace volvelle
