#include "Ingest/Manifest.h"
#include "Ingest/SoundFiles.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

namespace volvelle::test {

namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::Pair;

constexpr const char* orbits = "file,drive,orbit,angle_deg\n";

Error refusal(const std::string& text, const Plan& plan = {}) {
    const Error error = errorOf([&] { parseManifest(text, "rec/MANIFEST.csv", plan); });
    EXPECT_EQ(error.kind(), ErrorKind::input) << text;
    EXPECT_FALSE(error.advice().empty()) << text;
    EXPECT_THAT(error.where(), HasSubstr("rec/MANIFEST.csv")) << text;
    return error;
}

std::string said(const Error& error) {
    return error.what();
}

TEST(ManifestReading, orbitsAndTheirDefaultStances) {
    const auto m = parseManifest(
        std::string(orbits) + "a.wav,front,horizontal,270\nb.wav,front,vertical,100\n", "M.csv");
    ASSERT_EQ(m.rows.size(), 2U);
    EXPECT_EQ(m.rows[0].file, "a.wav");
    EXPECT_EQ(m.rows[0].line, 2U);
    EXPECT_EQ(m.rows[0].angleDeg, -90);
    EXPECT_EQ(m.rows[0].orbit, Orbit::horizontal);
    EXPECT_EQ(m.rows[0].stance, Stance::upright);
    EXPECT_EQ(m.rows[0].repeat, 1);
    EXPECT_EQ(m.rows[1].stance, Stance::onSide);
    EXPECT_TRUE(sameDirection(m.rows[1].direction, {180, 80}));
    EXPECT_THAT(m.drives, ElementsAre("front"));
    EXPECT_EQ(m.where(m.rows[1]), "M.csv, line 3");
}

TEST(ManifestReading, directionsOnAnOrbitAreRecognised) {
    const auto m = parseManifest(
        "file,drive,azimuth_deg,elevation_deg,stance\n"
        "a,front,190,0,\nb,front,180,80,\nc,front,30,20,upright\nd,front,0,0,on-side\ne,front,0,0,upright\n",
        "M.csv");
    EXPECT_EQ(m.rows[0].orbit, Orbit::horizontal);
    EXPECT_NEAR(m.rows[0].angleDeg, -170, 1e-9);
    EXPECT_EQ(m.rows[0].stance, Stance::upright);
    EXPECT_EQ(m.rows[1].orbit, Orbit::vertical);
    EXPECT_NEAR(m.rows[1].angleDeg, 100, 1e-9);
    EXPECT_EQ(m.rows[1].stance, Stance::upright);
    EXPECT_FALSE(m.rows[2].orbit);
    EXPECT_TRUE(std::isnan(m.rows[2].angleDeg));
    EXPECT_EQ(m.rows[3].orbit, Orbit::vertical);
    EXPECT_EQ(m.rows[4].orbit, Orbit::horizontal);
}

TEST(ManifestReading, furtherColumnsAreNotesAndOptionalOnesAreRead) {
    const auto m = parseManifest(
        "repeat,file,drive,orbit,angle_deg,weather,distance_m,Anmerkung\n"
        "2,a.wav,front,horizontal,0,dry,2.5,\"kühl, \"\"leise\"\"\"\n,b.wav,front,horizontal,0,,,\n",
        "M.csv");
    EXPECT_EQ(m.rows[0].repeat, 2);
    EXPECT_EQ(m.rows[0].distanceM, 2.5);
    EXPECT_THAT(m.rows[0].notes, ElementsAre(Pair("weather", "dry"), Pair("Anmerkung", "kühl, \"leise\"")));
    EXPECT_EQ(m.rows[1].repeat, 1);
    EXPECT_FALSE(m.rows[1].distanceM);
    EXPECT_TRUE(m.rows[1].notes.empty());
}

TEST(ManifestReading, lineEndsByteOrderMarkQuotesAndUtf8Names) {
    const auto m = parseManifest(
        "\xEF\xBB\xBF"
        "file,drive,orbit,angle_deg\r\n\"über, "
        "das.wav\",front,horizontal,+10\r\n\r\n\"x\",front,vertical,-1e1\r\n",
        "M.csv");
    EXPECT_EQ(m.rows[0].file, "über, das.wav");
    EXPECT_EQ(m.rows[0].angleDeg, 10);
    EXPECT_EQ(m.rows[1].line, 4U);
    EXPECT_EQ(m.rows[1].angleDeg, -10);
}

TEST(ManifestReading, rearPlusFrontIsFrontPlusRear) {
    const auto m = parseManifest(
        std::string(orbits) + "a,rear+front,horizontal,0\nb,front,horizontal,0\nc,front+rear,horizontal,10\n",
        "M.csv");
    EXPECT_THAT(m.drives, ElementsAre("rear+front", "front"));
    EXPECT_EQ(m.rows[2].drive, "rear+front");
    Plan plan;
    plan.sections = {{.name = "front", .outputChannels = {}}, {.name = "rear", .outputChannels = {}}};
    plan.drives = {{.name = "all", .sections = {"front", "rear"}, .axisDeg = 0, .referenceSection = ""}};
    const auto planned = parseManifest(
        std::string(orbits) + "a,rear+front,horizontal,0\nb,rear,horizontal,0\nc,all,horizontal,10\n",
        "M.csv", plan);
    EXPECT_THAT(planned.drives, ElementsAre("all", "rear"));  // the plan's name, whichever the manifest has
    EXPECT_THAT(said(refusal(std::string(orbits) + "a,raer,horizontal,0\n", plan)),
                testing::AllOf(HasSubstr("line 2"), HasSubstr("'raer'"), HasSubstr("'rear'")));
}

TEST(ManifestReading, sectionsOfTwoDrivesOfThePlanDoNotSayWhichOneIsMeant) {
    Plan plan;
    plan.sections.resize(2);
    plan.sections[0].name = "front";
    plan.sections[1].name = "rear";
    for (const char* name : {"forwards", "backwards"}) {
        plan.drives.emplace_back().name = name;
        plan.drives.back().sections = {"front", "rear"};
    }
    EXPECT_THAT(
        said(refusal(std::string(orbits) + "a,rear+front,horizontal,0\n", plan)),
        testing::AllOf(HasSubstr("line 2"), HasSubstr("'rear+front'"), HasSubstr("forwards or backwards")));
    EXPECT_THAT(parseManifest(std::string(orbits) + "a,backwards,horizontal,0\n", "M.csv", plan).drives,
                ElementsAre("backwards"));
}

TEST(ManifestReading, otherSeparatorsThanCommasAreCalledByTheirName) {
    const char* semicolons =
        "\xEF\xBB\xBF"
        "file;drive;orbit;angle_deg\r\na.wav;front;horizontal;12,5\r\n";
    EXPECT_THAT(
        said(refusal(semicolons)),
        testing::AllOf(HasSubstr("line 1"), HasSubstr("separated by semicolons"), HasSubstr("commas")));
    EXPECT_THAT(said(refusal("\n\nweather\tfile\tdrive\ndry\ta\tfront\n")),
                testing::AllOf(HasSubstr("line 3"), HasSubstr("separated by tabs")));
    const auto kept = parseManifest("file,drive,orbit,angle_deg,a;b\nx;y,front,horizontal,0,1;2\n", "M.csv");
    EXPECT_EQ(kept.rows[0].file, "x;y");
}

struct Bad {
    const char* text;
    std::vector<const char*> words;
};

class BadManifest : public testing::TestWithParam<Bad> {};

TEST_P(BadManifest, isRefusedWithLineAndField) {
    const std::string what = said(refusal(GetParam().text));
    EXPECT_EQ(what.find('\n'), std::string::npos);
    for (const char* word : GetParam().words) EXPECT_THAT(what, HasSubstr(word));
}

INSTANTIATE_TEST_SUITE_P(
    Columns, BadManifest,
    testing::Values(
        Bad{"", {"MANIFEST.csv"}}, Bad{"\n\n", {"MANIFEST.csv"}},
        Bad{"file,drive,orbit,angle_deg\n", {"no recordings"}},
        Bad{"drive,orbit,angle_deg\nfront,horizontal,0\n", {"line 1", "'file'"}},
        Bad{"file,orbit,angle_deg\na,horizontal,0\n", {"line 1", "'drive'"}},
        Bad{"file,drive,orbit\na,front,horizontal\n", {"line 1", "'angle_deg'"}},
        Bad{"file,drive,azimuth_deg\na,front,0\n", {"line 1", "'elevation_deg'"}},
        Bad{"file,drive\na,front\n", {"line 1", "angle_deg", "azimuth_deg"}},
        Bad{"file,drive,orbit,angle_deg,azimuth_deg\na,f,horizontal,0,0\n", {"line 1", "mixed"}},
        Bad{"file,drive,orbit,angle_deg,elevation_deg\na,f,horizontal,0,0\n", {"line 1", "mixed"}},
        Bad{"file,drive,orbit,angel_deg\na,f,horizontal,0\n", {"line 1", "'angel_deg'", "'angle_deg'"}},
        Bad{"file,drive,orbit,angle_deg,repeats\na,f,horizontal,0,1\n", {"'repeats'", "'repeat'"}},
        Bad{"file,drive,orbit,angle_deg,stanse\na,f,horizontal,0,\n", {"'stanse'", "'stance'"}},
        Bad{"File,drive,orbit,angle_deg\na,f,horizontal,0\n", {"line 1", "'File'", "'file'"}},
        Bad{"file;drive;orbit;angle_deg\na;f;horizontal;0\n", {"line 1"}},
        Bad{"file,drive,orbit,angle_deg,file\na,f,horizontal,0,a\n", {"line 1", "'file'", "twice"}},
        Bad{"file,drive,orbit,angle_deg\na,f,horizontal\n", {"line 2"}},
        Bad{"file,drive,orbit,angle_deg\n\"a,f,horizontal,0\n", {"line 2", "quote"}}));

INSTANTIATE_TEST_SUITE_P(
    Values, BadManifest,
    testing::Values(
        Bad{"file,drive,orbit,angle_deg\na,f,horizontal,0\nb,f,horizontal,x10\n",
            {"line 3", "angle_deg", "x10"}},
        Bad{"file,drive,orbit,angle_deg\na,f,horizontal,\n", {"line 2", "angle_deg"}},
        Bad{"file,drive,orbit,angle_deg\na,f,horizontal,nan\n", {"line 2", "angle_deg"}},
        Bad{"file,drive,orbit,angle_deg\na,f,horizontal,inf\n", {"line 2", "angle_deg"}},
        Bad{"file,drive,orbit,angle_deg\na,f,horizontal,1e999\n", {"line 2", "angle_deg"}},
        Bad{"file,drive,orbit,angle_deg\na,f,horizontal,361\n", {"line 2", "angle_deg", "361"}},
        Bad{"file,drive,orbit,angle_deg\na,f,horizontal,-360.5\n", {"line 2", "angle_deg"}},
        Bad{"file,drive,orbit,angle_deg\na,f,horizontal,\"10,5\"\n", {"line 2", "angle_deg", "point"}},
        Bad{"file,drive,azimuth_deg,elevation_deg\na,f,0,90.1\n", {"line 2", "elevation_deg", "90.1"}},
        Bad{"file,drive,azimuth_deg,elevation_deg\na,f,400,0\n", {"line 2", "azimuth_deg", "400"}},
        Bad{"file,drive,orbit,angle_deg\na,f,horizonal,0\n",
            {"line 2", "orbit", "'horizonal'", "'horizontal'"}},
        Bad{"file,drive,orbit,angle_deg\na,f,,0\n", {"line 2", "orbit"}},
        Bad{"file,drive,orbit,angle_deg,stance\na,f,vertical,0,onside\n", {"line 2", "stance", "'on-side'"}},
        Bad{"file,drive,orbit,angle_deg,repeat\na,f,vertical,0,0\n", {"line 2", "repeat"}},
        Bad{"file,drive,orbit,angle_deg,repeat\na,f,vertical,0,1.5\n", {"line 2", "repeat", "1.5"}},
        Bad{"file,drive,orbit,angle_deg,distance_m\na,f,vertical,0,0\n", {"line 2", "distance_m"}},
        Bad{"file,drive,orbit,angle_deg,distance_m\na,f,vertical,0,-2\n", {"line 2", "distance_m"}},
        Bad{"file,drive,orbit,angle_deg\n,f,horizontal,0\n", {"line 2", "file", "empty"}},
        Bad{"file,drive,orbit,angle_deg\n\"  \",f,horizontal,0\n", {"line 2", "file", "empty"}},
        Bad{"file,drive,orbit,angle_deg\na,,horizontal,0\n", {"line 2", "drive", "empty"}},
        Bad{"file,drive,orbit,angle_deg\na\x01,f,horizontal,0\n", {"line 2", "file", "control"}},
        Bad{"file,drive,orbit,angle_deg\n\xFF,f,horizontal,0\n", {"line 2", "UTF-8"}}));

INSTANTIATE_TEST_SUITE_P(
    Drives, BadManifest,
    testing::Values(
        Bad{"file,drive,orbit,angle_deg\na,f/r,horizontal,0\n", {"line 2", "drive", "'f/r'"}},
        Bad{"file,drive,orbit,angle_deg\na,f\x07,horizontal,0\n", {"line 2", "drive", "control"}},
        Bad{"file,drive,orbit,angle_deg\na,f r,horizontal,0\n", {"line 2", "drive"}},
        Bad{"file,drive,orbit,angle_deg\na,..,horizontal,0\n", {"line 2", "drive", "'..'"}},
        Bad{"file,drive,orbit,angle_deg\na,front+,horizontal,0\n", {"line 2", "drive", "'front+'"}},
        Bad{"file,drive,orbit,angle_deg\na,+,horizontal,0\n", {"line 2", "drive"}},
        Bad{"file,drive,orbit,angle_deg\na,front+front,horizontal,0\n", {"line 2", "'front'", "twice"}}));

INSTANTIATE_TEST_SUITE_P(
    Twice, BadManifest,
    testing::Values(Bad{"file,drive,orbit,angle_deg\na,f,horizontal,0\nb,f,horizontal,10\nc,f,horizontal,0\n",
                        {"line 4", "line 2"}},
                    Bad{"file,drive,orbit,angle_deg\na,f,horizontal,180\nb,f,horizontal,-180\n",
                        {"line 3", "line 2", "horizontal:180"}},
                    Bad{"file,drive,orbit,angle_deg\na,f,vertical,350\nb,f,vertical,-10\n",
                        {"line 3", "line 2"}},
                    Bad{"file,drive,orbit,angle_deg\na,f+r,horizontal,5\nb,r+f,horizontal,5.004\n",
                        {"line 3", "line 2", "f+r"}},
                    Bad{"file,drive,orbit,angle_deg,repeat\na,f,horizontal,5,2\nb,f,horizontal,5,2\n",
                        {"repeat 2", "line 2"}},
                    Bad{"file,drive,azimuth_deg,elevation_deg\na,f,0,90\nb,f,120,90\n", {"line 3", "line 2"}},
                    Bad{"file,drive,orbit,angle_deg,stance\na,f,horizontal,0,\nb,f,vertical,0,upright\n",
                        {"line 3", "line 2"}}));

TEST(ManifestReading, whatDiffersInDriveDirectionStanceOrRepeatIsNotTheSame) {
    const auto m = parseManifest(
        "file,drive,orbit,angle_deg,repeat,stance\n"
        "a,f,horizontal,0,1,\na,f,vertical,0,1,\na,r,horizontal,0,1,\na,f,horizontal,0,2,\n"
        "a,f,horizontal,0.02,1,\na,f,horizontal,20,1,\na,f,horizontal,20,1,on-side\n",
        "M.csv");
    EXPECT_EQ(m.rows.size(), 7U);
}

TEST(ManifestReading, aDoubleAmongThousandsIsFound) {
    std::string text = "file,drive,azimuth_deg,elevation_deg\n";
    for (int e = -85; e <= 85; e += 5) {
        for (int a = -180; a < 180; a += 5) {
            text += "x,f," + std::to_string(a) + "," + std::to_string(e) + "\n";
        }
    }
    EXPECT_EQ(parseManifest(text, "M.csv").rows.size(), 35U * 72U);
    EXPECT_THAT(said(refusal(text + "y,f,42.505,-37.5\nz,f,325,10\n")), HasSubstr("line 2523"));
}

}  // namespace

}  // namespace volvelle::test
