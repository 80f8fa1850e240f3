#include "Clock/SimulatedClock.h"
#include "turntable/Dialects.h"
#include "turntable/LineTable.h"
#include "turntable/PlayedTable.h"
#include "turntable/Seeded.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>

namespace volvelle {

namespace {

using Tongue = PlayedTable::Tongue;

class Played : public testing::TestWithParam<Tongue> {};

/// A table with one fault: on the n-th movement, or the n-th line that it says after homing.
struct OneFault {
    SimulatedClock clock{0};
    PlayedFault fault = PlayedFault::none;
    int movement = -1, line = -1;
    PlayedTable table;
    LineTable driver;

    explicit OneFault(Tongue tongue)
        : table(tongue, 6,
                [this](bool isMovement) {
                    int& left = isMovement ? movement : line;
                    return left-- == 0 ? fault : PlayedFault::none;
                }),
          driver(shippedDialect(tongue), std::make_unique<PlayedWire>(table, clock), clock) {}

    double errorDeg(double target) const { return std::abs(table.standsDeg(clock.nowS()) - target); }
};

TEST_P(Played, ATableWithoutFaultArrivesWhereItIsSent) {
    OneFault one(GetParam());
    one.table.putAt(33);
    EXPECT_EQ(one.driver.moveTo({10, 0}, {}).outcome, TableOutcome::refused);  // homing first
    const TableResult home = one.driver.home({});
    ASSERT_TRUE(home.arrived()) << home.what;
    for (const double target : {90.0, -180.0, 180.0, 0.05, -0.05, -0.05}) {
        const TableResult there = one.driver.moveTo({target, 0}, {});
        ASSERT_TRUE(there.arrived()) << target << ": " << there.what;
        EXPECT_LE(one.errorDeg(target), 0.1);
        EXPECT_NEAR(there.pose.tableDeg, target, 0.1);
        EXPECT_TRUE(one.driver.where().arrived());
    }
    EXPECT_EQ(one.driver.moveTo({180.5, 0}, {}).outcome, TableOutcome::refused);
    EXPECT_EQ(one.driver.moveTo({10, 5}, {}).outcome, TableOutcome::refused);
    EXPECT_TRUE(one.driver.moveTo({10, 0}, {}).arrived());  // a refusal costs nothing
}

/// What a movement with a fault ends in. Homing is needed afterwards, and cures all of them.
TEST_P(Played, AFaultOfTheMovementIsCaughtAndHomingComesFirst) {
    const std::map<PlayedFault, std::vector<TableOutcome>> expected{
        {PlayedFault::stall, {TableOutcome::stalled, TableOutcome::missed}},
        {PlayedFault::noMove, {TableOutcome::stalled, TableOutcome::missed}},
        {PlayedFault::overshoot, {TableOutcome::missed}},
        {PlayedFault::powerLoss, {TableOutcome::lost}}};
    for (const auto& [fault, outcomes] : expected) {
        OneFault one(GetParam());
        ASSERT_TRUE(one.driver.home({}).arrived());
        one.fault = fault;
        one.movement = 0;
        const TableResult there = one.driver.moveTo({60, 0}, {});
        EXPECT_NE(std::find(outcomes.begin(), outcomes.end(), there.outcome), outcomes.end())
            << static_cast<int>(fault) << " ended as " << static_cast<int>(there.outcome) << ": "
            << there.what;
        EXPECT_FALSE(there.what.empty());
        EXPECT_EQ(one.driver.moveTo({10, 0}, {}).outcome, TableOutcome::refused);
        const TableResult home = one.driver.home({});
        EXPECT_TRUE(home.arrived()) << static_cast<int>(fault) << ": " << home.what;
        EXPECT_TRUE(one.driver.moveTo({10, 0}, {}).arrived());
    }
}

/// Each line that the table says during a movement is spoilt in turn: whatever comes of it, `arrived` is
/// true.
TEST_P(Played, ASpoiltLineNeverMakesAFalseArrival) {
    int arrivals = 0, caught = 0;
    for (const PlayedFault fault :
         {PlayedFault::garbage, PlayedFault::late, PlayedFault::echoed, PlayedFault::cut,
          PlayedFault::cutMiddle, PlayedFault::doubled, PlayedFault::silent, PlayedFault::dropped})
        for (int line = 0; line < 12; ++line) {
            OneFault one(GetParam());
            ASSERT_TRUE(one.driver.home({}).arrived());
            one.fault = fault;
            one.line = line;
            const TableResult there = one.driver.moveTo({14.5, 0}, {});
            if (there.arrived()) {
                ++arrivals;
                EXPECT_LE(one.errorDeg(14.5), 0.1) << static_cast<int>(fault) << " at line " << line;
                continue;
            }
            ++caught;
            EXPECT_EQ(one.driver.moveTo({1, 0}, {}).outcome, TableOutcome::refused);
            EXPECT_TRUE(one.driver.home({}).arrived()) << static_cast<int>(fault) << " at line " << line;
        }
    EXPECT_GT(arrivals, 30);  // what can be asked again is
    EXPECT_GT(caught, 10);
}

/// Twenty movements of a table whose faults come from a seed.
struct RandomVisit {
    SimulatedClock clock{0};
    Seeded seeded;
    PlayedTable table;
    LineTable driver;
    int arrived = 0, failed = 0;

    RandomVisit(Tongue tongue, std::uint64_t seed)
        : seeded(seed),
          table(tongue, 6, seeded.faults(80, 30)),
          driver(shippedDialect(tongue), std::make_unique<PlayedWire>(table, clock), clock) {}

    void check(const TableResult& result, double target) {
        ++(result.arrived() ? arrived : failed);
        if (result.arrived()) {
            EXPECT_LE(std::abs(table.standsDeg(clock.nowS()) - target), 0.1 + 1e-9);
            EXPECT_LE(std::abs(table.turnsTo() - target), 0.1 + 1e-9);
        }
    }

    void run() {
        const std::vector<double> favourites{0, 45, 90, -90, 180};
        bool isHomed = false;
        for (int i = 0; i < 20; ++i) {
            if (!isHomed) {
                const TableResult home = driver.home({});
                check(home, 0);
                if (!home.arrived()) continue;
            }
            const double target =
                seeded.below(2) == 0 ? favourites[seeded.below(5)] : seeded.between(-180, 180);
            const TableResult there = driver.moveTo({target, 0}, {});
            check(there, target);
            isHomed = there.arrived() || there.outcome == TableOutcome::refused;
        }
    }
};

TEST_P(Played, TwoHundredRandomFaultSequencesNeverEndInAFalseArrival) {
    int arrived = 0, failed = 0;
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        SCOPED_TRACE("seed " + std::to_string(seed));
        RandomVisit visit(GetParam(), seed);
        visit.run();
        arrived += visit.arrived;
        failed += visit.failed;
        for (const double deg : visit.table.commanded())
            EXPECT_LE(std::abs(deg), 180) << "outside the soft limits";
        if (testing::Test::HasFailure()) return;
    }
    RecordProperty("arrived", arrived);
    RecordProperty("failed", failed);
    EXPECT_GT(arrived, 1000);
    EXPECT_GT(failed, 300);
}

TEST_P(Played, AStopEndsTheMovementAndNothingTurnsAfterIt) {
    OneFault one(GetParam());
    ASSERT_TRUE(one.driver.home({}).arrived());
    std::stop_source before;
    before.request_stop();
    EXPECT_EQ(one.driver.moveTo({90, 0}, before.get_token()).outcome, TableOutcome::stopped);
    EXPECT_EQ(one.table.turnsTo(), 0);
}

TEST_P(Played, ATableThatSomethingTurnedIsNoticedBeforeItMoves) {
    OneFault one(GetParam());
    ASSERT_TRUE(one.driver.home({}).arrived());
    one.table.putAt(7);
    const TableResult there = one.driver.moveTo({90, 0}, {});
    EXPECT_EQ(there.outcome, TableOutcome::lost);
    EXPECT_NE(there.what.find("it was left at 0.00° and says 7.00°"), std::string::npos) << there.what;
    EXPECT_EQ(one.table.turnsTo(), 7);
}

TEST_P(Played, TheLastOfTheWayComesFromBelow) {
    OneFault one(GetParam());
    ASSERT_TRUE(one.driver.home({}).arrived());
    for (const double target : {50.0, 20.0, 21.0, -180.0})
        ASSERT_TRUE(one.driver.moveTo({target, 0}, {}).arrived());
    EXPECT_EQ(one.table.commanded(), (std::vector<double>{50, 18, 20, 19, 21, -180}));
}

INSTANTIATE_TEST_SUITE_P(Dialects, Played, testing::Values(Tongue::plain, Tongue::rs274),
                         [](const auto& tongue) {
                             return tongue.param == Tongue::plain ? "plain" : "rs274";
                         });

}  // namespace

}  // namespace volvelle
