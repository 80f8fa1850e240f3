#include "Figures/TurningFigure.h"
#include "Run/TableGeometry.h"

#include <gtest/gtest.h>

#include <limits>

namespace volvelle {
namespace {

SetPosition positionOn(Orbit orbit, double angleDeg) {
    SetPosition position;
    position.orbit = orbit;
    position.angleDeg = angleDeg;
    position.direction = directionOn(orbit, angleDeg);
    position.stance = orbit == Orbit::horizontal ? Stance::upright : Stance::onSide;
    return position;
}

// The picture tells the angle that the conductor measures at the pose that it is sent to.
TEST(TurningFigure, TellsTheAnglesThatTheTableIsSentTo) {
    for (const bool clockwise : {false, true})
        for (const bool onLeft : {false, true}) {
            TablePlan table;
            table.countsClockwise = clockwise;
            table.liesOnLeftSide = onLeft;
            TurningPlate plate;
            plate.countsClockwise = clockwise;
            plate.liesOnLeftSide = onLeft;
            for (const double angle : {-120.0, -30.0, 0.0, 10.0, 90.0}) {
                EXPECT_DOUBLE_EQ(
                    seenUpright(plate, poseOf(positionOn(Orbit::horizontal, angle), table).tableDeg), angle);
                EXPECT_DOUBLE_EQ(seenOnSide(plate, poseOf(positionOn(Orbit::vertical, angle), table).tableDeg),
                                 angle);
            }
        }
}

TEST(TurningFigure, LetsNoTextsOverlapAndNamesTheSides) {
    for (const bool clockwise : {false, true})
        for (const bool tilt : {false, true}) {
            TurningPlate plate;
            plate.words.title = "Invented";
            plate.countsClockwise = clockwise;
            plate.hasTilt = tilt;
            Canvas canvas = Canvas::pixels(960, 560, 1);
            drawTurning(canvas, plate);
            bool microphone = false;
            for (std::size_t i = 0; i < canvas.texts().size(); ++i) {
                const auto& text = canvas.texts()[i];
                microphone = microphone || text.text == "microphone, 2 m";
                for (std::size_t j = 0; j < i; ++j)
                    EXPECT_FALSE(text.box.overlaps(canvas.texts()[j].box))
                        << text.text << " over " << canvas.texts()[j].text;
            }
            EXPECT_TRUE(microphone);
        }
}

TEST(TurningFigure, TellsWhereTheReferencePointLiesOffTheAxis) {
    TurningPlate plate;
    EXPECT_EQ(referencePointWords(plate), "");
    plate.referencePointM = {std::numeric_limits<double>::quiet_NaN(), 0.0001, 0};
    EXPECT_EQ(referencePointWords(plate), "");
    plate.referencePointM = {0.12, -0.02, 0};
    plate.unitSizeM = 0.4;
    EXPECT_EQ(referencePointWords(plate),
              "The reference point (dot) lies off the rotation axis (cross), in the unit's own directions: 0.120 m ahead, "
              "0.020 m to the right; drawn in proportion to the unit's size.");
}

}  // namespace
}  // namespace volvelle
