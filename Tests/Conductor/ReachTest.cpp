#include "Conductor/Laboratory.h"
#include "Run/RunFile.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace volvelle {
namespace {

using namespace testing;
using ::testing::HasSubstr;

/// A run in which the table's own facts are others than the plan takes for granted.
std::optional<Error> refusal(const Plan& plan, const AngleSet& set, const TableFacts& facts) {
    MemoryFiles files;
    Laboratory lab(plan, smallScene(), &files);
    lab.table.otherFacts = facts;
    std::optional<Error> error;
    try {
        lab.carryOut(set, files);
    } catch (const Error& thrown) {
        error = thrown;
        EXPECT_TRUE(lab.log.words({"home", "move", "play", "ask"}).empty());
    }
    return error;
}

TEST(Reach, APositionBeyondTheTablesOwnLimitsIsNamedBeforeAnythingMoves) {
    TableFacts facts;
    facts.highestDeg = 135;
    const auto error = refusal(smallPlan(), fourAround(), facts);
    ASSERT_TRUE(error.has_value());
    EXPECT_EQ(error->kind(), ErrorKind::input);
    EXPECT_THAT(error->what(), HasSubstr("horizontal:180"));
    EXPECT_THAT(error->what(), HasSubstr("135"));
    facts.highestDeg = 180;
    EXPECT_FALSE(refusal(smallPlan(), fourAround(), facts).has_value());
}

TEST(Reach, AnElevationNeedsATableThatTiltsAndTiltsSoFar) {
    Plan plan = smallPlan();
    plan.table.hasTilt = true;
    const AngleSet set = angleSetFromCsv("azimuth_deg,elevation_deg\n0,0\n30,40\n", "tilt.csv", true);
    TableFacts facts;
    const auto flat = refusal(plan, set, facts);
    ASSERT_TRUE(flat.has_value());
    EXPECT_EQ(flat->kind(), ErrorKind::input);
    EXPECT_THAT(flat->what(), HasSubstr("tilt"));
    facts.hasTilt = true;
    facts.highestTiltDeg = 39;
    const auto low = refusal(plan, set, facts);
    ASSERT_TRUE(low.has_value());
    EXPECT_THAT(low->what(), HasSubstr("39"));
    facts.highestTiltDeg = 40;
    EXPECT_FALSE(refusal(plan, set, facts).has_value());
}

TEST(Reach, AShotOnTheAxisIsHeldAgainstTheTableToo) {
    Laboratory lab(smallPlan(), smallScene());
    TableFacts facts;
    facts.lowestDeg = 10;
    lab.table.otherFacts = facts;
    EXPECT_THROW(shootOnAxis(lab.plan, lab.equipment(), {}), Error);
    EXPECT_TRUE(lab.log.words({"home", "move", "play"}).empty());
}

TEST(Reach, ATableThatSaysItArrivedAndReadsBackElsewhereMissed) {
    for (const double offDeg : {0.19, -0.19, 0.21, -0.21, notStated})
        for (const bool readsBack : {true, false}) {
            SCOPED_TRACE(offDeg);
            MemoryFiles files;
            Laboratory lab(smallPlan(), smallScene(), &files);
            TableFacts facts = lab.table.facts();
            facts.readsBack = readsBack;
            ASSERT_DOUBLE_EQ(facts.toleranceDeg, 0.2);
            lab.table.otherFacts = facts;
            lab.table.readsOffAt[2] = offDeg;
            EXPECT_EQ(lab.carryOut(fourAround(), files).ending, Ending::complete);
            const bool isMissed = readsBack && !(std::abs(offDeg) < 0.2);
            ASSERT_EQ(lab.attendant.requests.size(), isMissed ? 1U : 0U);
            if (!isMissed) continue;
            EXPECT_THAT(lab.attendant.requests[0], HasSubstr("did not reach horizontal:90"));
            const auto words = lab.log.words({"home", "move", "play", "ask"});
            const auto asked = std::find(words.begin(), words.end(), "ask other");
            EXPECT_EQ(*(asked + 1), "home");
        }
}

}  // namespace
}  // namespace volvelle
