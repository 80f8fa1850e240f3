#include "turntable/HandTable.h"
#include "turntable/TwoAxisTable.h"

#include <gtest/gtest.h>

#include <memory>
#include <string>
#include <vector>

namespace volvelle {

namespace {

class Person final : public Turner {
public:
    Answer turn(const std::string& request, bool, std::stop_token) override {
        asked.push_back(request);
        return answer;
    }
    std::vector<std::string> asked;
    Answer answer{true, {}};
};

TableFacts facts(bool reads) {
    TableFacts facts;
    facts.name = "by hand";
    facts.readsBack = reads;
    facts.lowestDeg = -90;
    facts.highestDeg = 90;
    return facts;
}

TEST(HandTable, SaysWhichAngleAndTakesTheWordForIt) {
    Person person;
    HandTable table(facts(false), person);
    EXPECT_EQ(table.moveTo({10, 0}, {}).outcome, TableOutcome::refused);
    EXPECT_TRUE(table.home({}).arrived());
    EXPECT_TRUE(table.moveTo({12.5, 0}, {}).arrived());
    EXPECT_EQ(person.asked.back(), "Turn the table on to 12.5°, leave the chamber and shut the door");
    EXPECT_EQ(table.where().pose.tableDeg, 12.5);
    EXPECT_EQ(table.moveTo({91, 0}, {}).outcome, TableOutcome::refused);
    EXPECT_EQ(person.asked.size(), 2u);
}

TEST(HandTable, TheScaleDecidesWhereItIsRead) {
    Person person;
    HandTable table(facts(true), person);
    EXPECT_EQ(table.home({}).outcome, TableOutcome::lost);
    person.answer.readDeg = 0.1;
    EXPECT_TRUE(table.home({}).arrived());
    person.answer.readDeg = 41;
    const TableResult there = table.moveTo({40, 0}, {});
    EXPECT_EQ(there.outcome, TableOutcome::missed);
    EXPECT_EQ(there.what, "the scale shows 41°, not 40°");
    person.answer.readDeg = 40;
    EXPECT_TRUE(table.moveTo({40, 0}, {}).arrived());
}

TEST(HandTable, WhoWouldNotTurnItLeavesItsPlaceUnknown) {
    Person person;
    HandTable table(facts(false), person);
    ASSERT_TRUE(table.home({}).arrived());
    person.answer.isDone = false;
    EXPECT_EQ(table.moveTo({40, 0}, {}).outcome, TableOutcome::refused);
    EXPECT_EQ(table.where().outcome, TableOutcome::lost);
}

TEST(TwoAxisTable, BothStandOrTheFirstThatDoesNotIsNamed) {
    Person left, right;
    TwoAxisTable table(std::make_unique<HandTable>(facts(false), left),
                       std::make_unique<HandTable>(facts(false), right));
    EXPECT_TRUE(table.facts().hasTilt);
    EXPECT_TRUE(table.home({}).arrived());
    const TableResult there = table.moveTo({30, -20}, {});
    EXPECT_TRUE(there.arrived());
    EXPECT_EQ(there.pose.tableDeg, 30);
    EXPECT_EQ(there.pose.tiltDeg, -20);
    EXPECT_EQ(table.moveTo({30, 100}, {}).outcome, TableOutcome::refused);
    EXPECT_EQ(left.asked.size(), 2u);  // nothing moved
    right.answer.isDone = false;
    EXPECT_EQ(table.moveTo({0, 0}, {}).what, "second axis: the table was not turned");
}

}  // namespace

}  // namespace volvelle
