#include "Run/PlanAngles.h"
#include "Run/TableGeometry.h"
#include "Text/Error.h"
#include "Text/TextFile.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <cmath>
#include <filesystem>

namespace volvelle {
namespace {

using Vector = std::array<double, 3>;

Vector cross(const Vector& a, const Vector& b) {
    return {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
}

double dot(const Vector& a, const Vector& b) {
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/// A vector of the room turned counter-clockwise about the vertical, seen from above.
Vector turned(const Vector& v, double angleDeg) {
    const double c = std::cos(angleDeg * M_PI / 180), s = std::sin(angleDeg * M_PI / 180);
    return {c * v[0] - s * v[1], s * v[0] + c * v[1], v[2]};
}

/// The oracle: the unit's axes as vectors of the room (X towards the microphone, Z up), turned with the
/// table; the microphone raised by the tilt. Where the unit sees the microphone.
Direction seen(const PositionPose& pose, const TablePlan& table, Stance stance) {
    const double turn = table.countsClockwise ? -pose.tableDeg : pose.tableDeg;
    const Vector ahead{1, 0, 0};
    Vector left{0, 1, 0};
    if (stance == Stance::onSide) left = table.liesOnLeftSide ? Vector{0, 0, -1} : Vector{0, 0, 1};
    const Vector x = turned(ahead, turn), y = turned(left, turn), z = turned(cross(ahead, left), turn);
    const double tilt = pose.tiltDeg * M_PI / 180;
    const Vector microphone{std::cos(tilt), 0, std::sin(tilt)};
    return directionOf({dot(microphone, x), dot(microphone, y), dot(microphone, z)});
}

TEST(TablePose, ShowsTheMicrophoneTheDirectionOfThePosition) {
    for (const bool clockwise : {false, true})
        for (const bool leftSide : {false, true})
            for (const char* name : {"two-orbits-10", "two-orbits-5", "sphere-10"}) {
                TablePlan table;
                table.countsClockwise = clockwise;
                table.liesOnLeftSide = leftSide;
                table.hasTilt = std::string(name) == "sphere-10";
                for (const auto& p : angleSet(name, table.hasTilt).positions) {
                    const PositionPose pose = poseOf(p, table);
                    EXPECT_LT(angleBetweenDeg(seen(pose, table, p.stance), p.direction), 1e-9)
                        << positionName(p.direction, p.orbit) << " at " << pose.tableDeg << ", "
                        << pose.tiltDeg;
                    EXPECT_LE(std::abs(pose.tableDeg), 180);
                }
            }
}

SetPosition at(Orbit orbit, double angle, Stance stance) {
    return {orbit, angle, directionOn(orbit, angle), stance, 0};
}

// A unit turned counter-clockwise, seen from above, shows the microphone the negative angle.
TEST(TablePose, HasTheSignOfTheConvention) {
    TablePlan table;
    EXPECT_EQ(poseOf(at(Orbit::horizontal, 50, Stance::upright), table).tableDeg, -50);
    EXPECT_EQ(poseOf(at(Orbit::vertical, 50, Stance::onSide), table).tableDeg, -50);
    table.liesOnLeftSide = false;
    EXPECT_EQ(poseOf(at(Orbit::vertical, 50, Stance::onSide), table).tableDeg, 50);
    table.countsClockwise = true;
    EXPECT_EQ(poseOf(at(Orbit::horizontal, 50, Stance::upright), table).tableDeg, 50);
    EXPECT_EQ(poseOf(at(Orbit::vertical, 50, Stance::onSide), table).tableDeg, -50);
    EXPECT_EQ(poseOf(at(Orbit::vertical, 100, Stance::upright), table).tableDeg, 180);
    EXPECT_EQ(poseOf(at(Orbit::vertical, 100, Stance::upright), table).tiltDeg, 80);
    EXPECT_FALSE(std::signbit(poseOf(at(Orbit::horizontal, 0, Stance::upright), TablePlan{}).tableDeg));
}

TEST(TablePose, KeepsWithinTheSoftLimits) {
    TablePlan table;
    table.lowestDeg = 0;
    table.highestDeg = 359;
    EXPECT_EQ(poseOf(at(Orbit::horizontal, 50, Stance::upright), table).tableDeg, 310);
    EXPECT_EQ(poseOf(at(Orbit::horizontal, -50, Stance::upright), table).tableDeg, 50);
    table.lowestDeg = -350;
    EXPECT_EQ(poseOf(at(Orbit::horizontal, 50, Stance::upright), table).tableDeg, -50);
    table.lowestDeg = -90;
    table.highestDeg = 90;
    try {
        poseOf(at(Orbit::horizontal, 100, Stance::upright), table, "p.json");
        FAIL();
    } catch (const Error& error) {
        EXPECT_EQ(error.kind(), ErrorKind::input);
        EXPECT_STREQ(
            error.what(),
            "p.json: /table keeps to -90 to 90 degrees, but horizontal:100 needs -100. Choose another angle "
            "set, or state the table's real soft limits");
    }
}

Plan withPoint(Vector point) {
    Plan plan;
    plan.distanceM = 2;
    plan.referencePointM = point;
    return plan;
}

/// The oracle: microphone and reference point as points of the room.
Placement geometric(const PositionPose& pose, const Plan& plan, Stance stance) {
    Vector offset = plan.referencePointM;
    offset[stance == Stance::upright ? 2 : 1] = 0;
    const Vector left =
        stance == Stance::upright ? Vector{0, 1, 0} : Vector{0, 0, plan.table.liesOnLeftSide ? -1.0 : 1.0};
    const Vector ahead{1, 0, 0}, up = cross(ahead, left);
    const auto inRoom = [&](double turn) {
        Vector p{};
        for (std::size_t i = 0; i < 3; ++i)
            p[i] = offset[0] * ahead[i] + offset[1] * left[i] + offset[2] * up[i];
        return turned(p, turn);
    };
    const Vector start = inRoom(0);
    const double radius =
        start[0] + std::sqrt(plan.distanceM * plan.distanceM - start[1] * start[1] - start[2] * start[2]);
    const double tilt = pose.tiltDeg * M_PI / 180;
    const Vector point = inRoom(pose.tableDeg),
                 microphone{radius * std::cos(tilt), 0, radius * std::sin(tilt)};
    const Vector m{microphone[0] - point[0], microphone[1] - point[1], microphone[2] - point[2]};
    const Vector x = turned(ahead, pose.tableDeg), y = turned(left, pose.tableDeg),
                 z = turned(up, pose.tableDeg);
    return {directionOf({dot(m, x), dot(m, y), dot(m, z)}), std::sqrt(dot(m, m))};
}

TEST(TruePlacement, AgreesWithPointsOfTheRoom) {
    for (const bool tilt : {false, true})
        for (const Vector point : {Vector{0.15, 0, 0}, Vector{0.1, -0.2, 0.3}, Vector{-0.05, 0.02, -0.1}}) {
            Plan plan = withPoint(point);
            plan.table.hasTilt = tilt;
            for (const auto& p : angleSet(tilt ? "sphere-10" : "two-orbits-10", tilt).positions) {
                const Placement here = placementOf(p, plan);
                const Placement oracle = geometric(poseOf(p, plan.table), plan, p.stance);
                EXPECT_LT(angleBetweenDeg(here.direction, oracle.direction), 1e-9)
                    << positionName(p.direction, p.orbit);
                EXPECT_NEAR(here.distanceM, oracle.distanceM, 1e-12);
            }
        }
}

TEST(TruePlacement, OfAPointAheadIsAboutFourDegreesBehindAtNinety) {
    const Placement side = placementOf(at(Orbit::horizontal, 90, Stance::upright), withPoint({0.15, 0, 0}));
    EXPECT_NEAR(side.direction.azimuthDeg, 90 + std::atan(0.15 / 2.15) * 180 / M_PI, 1e-9);
    EXPECT_NEAR(side.direction.azimuthDeg, 94, 0.01);
}

TEST(TruePlacement, NeedsADistance) {
    Plan plan;
    EXPECT_THROW(placementOf(at(Orbit::horizontal, 0, Stance::upright), plan), Error);
    plan = withPoint({2, 0, 0});
    EXPECT_THROW(placementOf(at(Orbit::horizontal, 0, Stance::upright), plan), Error);
}

TEST(AngleSetOfAPlan, IsNamedOrListedBesideThePlan) {
    const auto folder =
        std::filesystem::temp_directory_path() / ("plan-angles-" + std::to_string(::getpid()));
    std::filesystem::create_directories(folder);
    const std::string file = (folder / "positions.csv").string(), plan = (folder / "p.json").string();
    writeNewTextFile(file, "orbit,angle_deg\nhorizontal,0\nvertical,30\n");
    Plan p;
    p.angles.file = "positions.csv";
    EXPECT_EQ(angleSetOf(p, plan).positions.size(), 2U);
    EXPECT_EQ(angleSetOf(p, plan).positions[1].stance, Stance::onSide);
    p.table.hasTilt = true;
    EXPECT_EQ(angleSetOf(p, plan).positions[1].stance, Stance::upright);
    p.angles.file = "none.csv";
    EXPECT_THROW(angleSetOf(p, plan), Error);
    std::filesystem::remove_all(folder);
    p.angles = {"two-orbits-5", "", true};
    EXPECT_EQ(angleSetOf(p, plan).positions.size(), 142U);
    const auto refusal = [&](const std::string& set, bool tilt) {
        p.angles.set = set;
        p.table.hasTilt = tilt;
        try {
            angleSetOf(p, "p.json");
        } catch (const Error& error) {
            EXPECT_EQ(error.kind(), ErrorKind::input);
            return std::string(error.what());
        }
        return std::string("no error");
    };
    EXPECT_EQ(refusal("", false).substr(0, 34), "p.json: /angles/set is missing. Na");
    EXPECT_EQ(refusal("sphere5", true).substr(0, 73),
              "p.json: /angles/set: 'sphere5' is no angle set. Did you mean 'sphere-5'? ");
    EXPECT_EQ(refusal("sphere-5", false).substr(0, 57),
              "p.json: /angles/set: sphere-5 needs a table with a tilt a");
}

}  // namespace
}  // namespace volvelle
