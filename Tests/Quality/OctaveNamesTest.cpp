#include "Quality/OctaveNames.h"
#include "Run/Capture.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

namespace volvelle {
namespace {

// Nominal mid-band frequencies differ from the exact ones by less than 1 % (IEC 61260-1:2014, Annex E).
TEST(OctaveNames, AreNominalAndWithinOnePercentOfTheExactFrequencies) {
    for (std::size_t b = 0; b < judgedOctavesHz().size(); ++b)
        EXPECT_NEAR(nominalOctaveHz(b) / judgedOctavesHz()[b], 1, 0.01) << b;
    EXPECT_THROW(nominalOctaveHz(judgedOctavesHz().size()), std::out_of_range);
    EXPECT_EQ(octaveName(0), "31.5 Hz");
    EXPECT_EQ(octaveName(2), "125 Hz");
    EXPECT_EQ(octaveName(5), "1 kHz");
    EXPECT_EQ(octaveName(9), "16 kHz");
}

std::string names(const std::vector<std::size_t>& octaves) {
    return octaveNames(octaves);
}

TEST(OctaveNames, PutNeighboursTogether) {
    EXPECT_EQ(names({}), "");
    EXPECT_EQ(names({3}), "250 Hz");
    EXPECT_EQ(names({1, 2, 3, 4}), "63 to 500 Hz");
    EXPECT_EQ(names({1, 2, 3, 4, 7}), "63 to 500 Hz and 4 kHz");
    EXPECT_EQ(names({4, 5, 6}), "500 Hz to 2 kHz");
    EXPECT_EQ(names({0, 2, 3, 8, 9}), "31.5 Hz, 125 to 250 Hz and 8 to 16 kHz");
}

}  // namespace
}  // namespace volvelle
