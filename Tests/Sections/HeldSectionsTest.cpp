#include "Families/MakeFamily.h"
#include "Families/ToyUnit.h"
#include "Sections/HeldSections.h"
#include "Sections/Interaction.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstring>

namespace volvelle {
namespace {

double front(const Direction& d, double t) {
    return toy::twoSources(d, t);
}

double rear(const Direction& d, double t) {
    return 0.6 * toy::twoSources(relativeTo(180, d), t - 0.0002);
}

/// Front, rear and both, impulse responses on two orbits of 10°.
RunRecord threeDrives() {
    RunRecord run = toy::runOf({toy::impulseDrive("front", toy::twoOrbits(10), 1024),
                                toy::impulseDrive("rear", toy::twoOrbits(10), 1024),
                                toy::impulseDrive("front+rear", toy::twoOrbits(10), 1024)});
    run.plan.sections.resize(2);
    run.plan.sections[0].name = "front";
    run.plan.sections[1].name = "rear";
    run.plan.drives.resize(2);
    run.plan.drives[0].name = "rear";
    run.plan.drives[0].sections = {"rear"};
    run.plan.drives[0].axisDeg = 180;
    run.plan.drives[1].name = "front+rear";
    run.plan.drives[1].sections = {"front", "rear"};
    return run;
}

double sampleOf(const DriveRecord& drive, const Direction& d, double t) {
    double p = 0;
    if (drive.name != "rear") p += front(d, t);
    if (drive.name != "front") p += rear(d, t);
    return p;
}

void playAll(const DriveRecord& drive, const Capture& c, std::span<float> out) {
    for (std::size_t n = 0; n < out.size(); ++n)
        out[n] = static_cast<float>(sampleOf(drive, c.direction, static_cast<double>(n) / toy::rate));
}

HeldSections held(const RunRecord& record, const toy::Samples& samples,
                  const Recipe& recipe = toy::quickRecipe(), int jobs = 2) {
    const toy::SealedToy run(record, samples);
    return holdSections(*run, drivePartsOf(run->record(), "", "toy.h5"), recipe, jobs);
}

Interaction neutral(const HeldSections& sections) {
    return interactionOf(sections, std::vector<SectionSetting>(sections.parts.size()));
}

TEST(HeldSections, OfALinearUnitSumUpToItsWhole) {
    const Interaction i = neutral(held(threeDrives(), playAll));
    ASSERT_EQ(i.positions.size(), 72u);
    for (const SummedPosition& p : i.positions)
        for (std::size_t f = 0; f < i.frequencyHz.size(); ++f)
            EXPECT_LT(p.differenceDb[f], -120) << p.at.name << " " << i.frequencyHz[f];  // float samples
    EXPECT_EQ(i.sections, (std::vector<std::string>{"front", "rear"}));
    EXPECT_EQ(i.head.drive, "front+rear");
}

TEST(HeldSections, MeasuredCurvesAreTheFamilyBitForBit) {
    Recipe smooth = toy::quickRecipe();
    smooth.smoothing = 3;
    for (const Recipe& recipe : {toy::quickRecipe(), smooth}) {
        const toy::SealedToy run(threeDrives(), playAll);
        const Family family = makeFamily(*run, "front+rear", recipe, 1);
        const Interaction i =
            neutral(holdSections(*run, drivePartsOf(run->record(), "", "toy.h5"), recipe, 2));
        ASSERT_EQ(i.curves.size(), family.curves.size());
        for (std::size_t c = 0; c < i.curves.size(); ++c) {
            EXPECT_EQ(i.curves[c].key, family.curves[c].key);
            EXPECT_EQ(std::memcmp(i.curves[c].wholeDb.data(), family.curves[c].levelDb.data(),
                                  family.curves[c].levelDb.size() * sizeof(double)),
                      0)
                << family.curves[c].key;
        }
    }
}

TEST(HeldSections, AreTheSameForAnyNumberOfThreads) {
    const HeldSections one = held(threeDrives(), playAll, toy::quickRecipe(), 1),
                       five = held(threeDrives(), playAll, toy::quickRecipe(), 5);
    EXPECT_EQ(one.whole.pressure, five.whole.pressure);
    EXPECT_EQ(one.parts[1].pressure, five.parts[1].pressure);
    EXPECT_EQ(one.parts[1].noise, five.parts[1].noise);
}

TEST(HeldSections, FindPositionsByDirectionAndNotByOrder) {
    RunRecord record = threeDrives();
    std::reverse(record.drives[1].captures.begin(), record.drives[1].captures.end());
    const Interaction i = neutral(held(record, playAll));
    for (const SummedPosition& p : i.positions) EXPECT_LT(p.differenceDb[2], -120) << p.at.name;
}

TEST(HeldSections, NameTheDriveThatLacksAPosition) {
    RunRecord record = threeDrives();
    record.drives[0].captures.erase(record.drives[0].captures.begin() + 4);   // horizontal:-130
    record.drives[2].captures.erase(record.drives[2].captures.begin() + 40);  // of the whole
    const HeldSections sections = held(record, playAll);
    ASSERT_EQ(sections.positions.size(), 72u);
    EXPECT_FALSE(sections.whole.isPresent(71));  // only the parts have it: it comes last
    const Interaction i = neutral(sections);
    EXPECT_EQ(i.positions[4].at.name, "horizontal:-130");
    EXPECT_THAT(i.positions[4].missing, testing::EndsWith(": front"));
    EXPECT_THAT(i.positions[71].missing, testing::EndsWith(": front+rear"));
    EXPECT_TRUE(std::isfinite(i.positions[71].sumDb[3]));
}

TEST(HeldSections, RepeatsGiveTheFloorWhatTheyScatter) {
    RunRecord record = threeDrives();
    std::vector<Capture> again = record.drives[0].captures;
    for (Capture& c : again) {
        c.repeat = 2;
        c.id += "/2";
    }
    auto& captures = record.drives[0].captures;
    captures.insert(captures.end(), again.begin(), again.end());
    // The second repeat is 1 % louder: s² = (0.01 p)² / 2.
    const auto louder = [](const DriveRecord& drive, const Capture& c, std::span<float> out) {
        playAll(drive, c, out);
        if (c.repeat == 2)
            for (float& v : out) v *= 1.01F;
    };
    const HeldSections sections = held(record, louder);
    ASSERT_EQ(sections.parts[0].scatter.size(), sections.parts[0].pressure.size());
    EXPECT_TRUE(sections.parts[1].scatter.empty());
    const std::size_t points = sections.grids.computedHz.size();
    std::vector<double> power;
    for (std::size_t f = 0; f < points; ++f)
        power.push_back(0.5e-4 * std::norm(sections.parts[0].pressure[10 * points + f]));
    for (std::size_t f = 1; f + 1 < points; ++f) {
        // A mean over a third octave lies among the neighbours of this grid of third octaves.
        const double s = sections.parts[0].scatter[10 * points + f];
        EXPECT_GT(s, 0.9 * std::min({power[f - 1], power[f], power[f + 1]}));
        EXPECT_LT(s, 1.1 * std::max({power[f - 1], power[f], power[f + 1]}));
    }
}

TEST(HeldSections, AxisChecksGiveTheFloorTheirDrift) {
    RunRecord record = threeDrives();
    for (const int step : {1, 2}) {
        Capture check = toy::captureAt(Orbit::horizontal, 0);
        check.kind = CaptureKind::axisCheck;
        check.id = step == 1 ? "check/1" : "check/2";
        check.repeat = step;
        check.utc = step == 1 ? "2026-03-14T09:01:40Z" : "2026-03-14T09:03:20.000Z";
        record.drives[2].captures.push_back(check);
    }
    for (DriveRecord& drive : record.drives)
        for (Capture& c : drive.captures)
            if (c.kind == CaptureKind::position) c.utc = "2026-03-14T09:00:00Z";
    // The checks have drifted by 0.5 % and 1 %.
    const auto drifting = [](const DriveRecord& drive, const Capture& c, std::span<float> out) {
        playAll(drive, c, out);
        if (c.kind == CaptureKind::axisCheck)
            for (float& v : out) v *= 1.0F + 0.005F * static_cast<float>(c.repeat);
    };
    const HeldSections sections = held(record, drifting);
    ASSERT_EQ(sections.whole.drifts.size(), 2u);
    for (const int step : {1, 2}) {
        const DriftComparison& check = sections.whole.drifts[static_cast<std::size_t>(step - 1)];
        ASSERT_EQ(check.departure.size(), sections.grids.computedHz.size());
        for (const double d : check.departure) EXPECT_NEAR(std::sqrt(d), 0.005 * step, 1e-5);
        EXPECT_EQ(check.spanS, 100 * step);
    }
    EXPECT_TRUE(sections.parts[0].drifts.empty());
    EXPECT_EQ(sections.positions.size(), 72u);  // checks are no positions
}

/// Three drives one after the other with an axis check at each one's end that has drifted by 1 %; the third was
/// made by a program that was started anew, whose monotonic clock began again.
RunRecord inSittings(double originOfSecondS) {
    RunRecord record = threeDrives();
    int second = 0;
    for (std::size_t d = 0; d < record.drives.size(); ++d) {
        Capture check = toy::captureAt(Orbit::horizontal, 0);
        check.kind = CaptureKind::axisCheck;
        check.id = "check";
        record.drives[d].captures.push_back(check);
        for (Capture& c : record.drives[d].captures) {
            c.monotonicS = 5000 + second - (d == 2 ? originOfSecondS : 0);
            const int seconds = second % 60, minutes = second / 60;
            c.utc = "2026-03-14T23:" + std::string(minutes < 10 ? "0" : "") + std::to_string(minutes) +
                    (seconds < 10 ? ":0" : ":") + std::to_string(seconds) + ".000Z";
            second += 5;
        }
    }
    return record;
}

TEST(HeldSections, AResumedRunHasTheFloorOfAnUninterruptedOne) {
    const auto drifting = [](const DriveRecord& drive, const Capture& c, std::span<float> out) {
        playAll(drive, c, out);
        if (c.kind == CaptureKind::axisCheck)
            for (float& v : out) v *= 1.01F;
    };
    const HeldSections once = held(inSittings(0), drifting), twice = held(inSittings(5400), drifting);
    EXPECT_EQ(once.whole.timeS[1] - once.parts[0].timeS[1], 730);  // two drives of 73 captures, 5 s each
    const Interaction a = neutral(once), b = neutral(twice);
    for (std::size_t p = 0; p < a.positions.size(); ++p)
        EXPECT_EQ(a.positions[p].floorDb, b.positions[p].floorDb) << a.positions[p].at.name;
}

TEST(HeldSections, TellOfExcitationsOfUnequalLevelAndOfNoiseNotSubtracted) {
    Recipe recipe = toy::quickRecipe();
    recipe.subtractNoise = true;
    EXPECT_THAT(held(threeDrives(), playAll, recipe).notes,
                testing::Contains(testing::HasSubstr("noise is not subtracted")));
}

}  // namespace
}  // namespace volvelle
