#include "Ingest/ResponseText.h"
#include "Ingest/SoundFiles.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace volvelle::test {

namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

TEST(ResponseTextReading, everySeparatorGivesTheSameNumbers) {
    for (const char* text :
         {"100,80.5,-12\n200,81,1e1\n", "100;80.5;-12\n200;81;10\n", "100\t80.5\t-12\n200\t81\t10",
          "  100  80.5   -12\n 200 81 10  \n", "100, 80.5, -12\r\n200, 81, +10\r\n",
          "100;\t80.5;\t-12\n200;\t81;\t10\n", "100 80.5 -12 \n\n200\t81\t10\n",
          "\xEF\xBB\xBF"
          "100,80.5,-12,\n200,81,10,\n"}) {
        const ResponseText r = parseResponseText(text, "r.txt");
        EXPECT_THAT(r.frequencyHz, ElementsAre(100, 200)) << text;
        EXPECT_THAT(r.levelDb, ElementsAre(80.5, 81)) << text;
        EXPECT_THAT(r.phaseDeg, ElementsAre(-12, 10)) << text;
    }
}

TEST(ResponseTextReading, headingCommentsAndAbsentPhase) {
    const ResponseText r = parseResponseText(
        "* made by hand, 30 degrees\n# x\n; y\n// z\n\"quoted\"\nFrequency Hz, Level dB\n20 70\n# "
        "between\n40 71\n",
        "r.txt");
    EXPECT_THAT(r.frequencyHz, ElementsAre(20, 40));
    EXPECT_THAT(r.phaseDeg, IsEmpty());
    EXPECT_THAT(r.line, ElementsAre(7U, 9U));
}

struct Bad {
    const char* text;
    std::vector<const char*> words;
};

class BadResponseText : public testing::TestWithParam<Bad> {};

TEST_P(BadResponseText, isRefusedWithItsLine) {
    const Error error = errorOf([] { parseResponseText(GetParam().text, "old/30.txt"); });
    EXPECT_EQ(error.kind(), ErrorKind::input);
    EXPECT_THAT(error.where(), HasSubstr("old/30.txt"));
    EXPECT_FALSE(error.advice().empty());
    for (const char* word : GetParam().words) EXPECT_THAT(error.what(), HasSubstr(word));
}

INSTANTIATE_TEST_SUITE_P(
    Texts, BadResponseText,
    testing::Values(
        Bad{"", {"0 rows"}}, Bad{"# only\n", {"0 rows"}}, Bad{"100 80\n", {"1 row"}},
        Bad{"100,5 80,3\n200,0 80,1\n", {"line 1", "'100,5'", "decimal comma"}},
        Bad{"100,5;80,3;1\n", {"line 1", "decimal comma"}}, Bad{"100\t80,3\n", {"line 1", "'80,3'"}},
        Bad{"100,5,80,3,12,0\n", {"line 1", "6 columns", "decimal point"}},
        Bad{"100\n200\n", {"line 1", "1 column"}}, Bad{"100 80\n200 81 3\n", {"line 2", "3 columns"}},
        Bad{"100 80\n100 81\n", {"line 2", "above"}}, Bad{"200 80\n100 81\n", {"line 2", "100 Hz", "200 Hz"}},
        Bad{"0 80\n100 81\n", {"line 1", "frequency"}}, Bad{"-5 80\n100 81\n", {"line 1", "frequency"}},
        Bad{"100 nan\n", {"line 1", "level"}}, Bad{"100 80 inf\n", {"line 1", "phase"}},
        Bad{"100 1e5\n", {"line 1", "level"}}, Bad{"1O0 80\n200 81\n", {"line 1", "1O0"}},
        Bad{"Freq Level\nHz dB\n100 80\n", {"line 2"}}, Bad{"100 80\nend\n", {"line 2"}},
        Bad{"100 80\n200 \xB0\n", {"line 2", "UTF-8"}}));

TEST(ResponseTextReading, anotherGridIsNamedByFileAndLine) {
    const ResponseText first = parseResponseText("100 80\n200 80\n300 80\n", "a.txt");
    EXPECT_NO_THROW(
        requireSameGrid(first.frequencyHz, "a.txt", parseResponseText("100 1\n200 2\n300 3\n", "b"), "b"));
    const Error other = errorOf([&] {
        requireSameGrid(first.frequencyHz, "a.txt", parseResponseText("#\n100 80\n201 80\n300 80\n", "b.txt"),
                        "b.txt");
    });
    EXPECT_EQ(other.where(), "b.txt, line 3");
    EXPECT_THAT(other.problem(),
                testing::AllOf(HasSubstr("201 Hz"), HasSubstr("a.txt"), HasSubstr("200 Hz")));
    const Error shorter = errorOf([&] {
        requireSameGrid(first.frequencyHz, "a.txt", parseResponseText("100 80\n200 80\n", "b.txt"), "b.txt");
    });
    EXPECT_THAT(shorter.problem(), HasSubstr("holds 2 frequencies where a.txt has 3"));
}

TEST(MicrophoneResponseReading, withAndWithoutPhase) {
    const auto r = parseMicrophoneResponse(
        "# serial 1\nfrequency_hz,level_db,phase_deg\n20,-0.5,3\n20000,1.5,-20\n", "mic.csv");
    EXPECT_THAT(r.frequencyHz, ElementsAre(20, 20000));
    EXPECT_THAT(r.levelDb, ElementsAre(-0.5, 1.5));
    EXPECT_THAT(r.phaseDeg, ElementsAre(3, -20));
    EXPECT_EQ(r.sourceFile, "mic.csv");
    EXPECT_THAT(parseMicrophoneResponse("frequency_hz,level_db\n20,0\n30,0\n", "mic.csv").phaseDeg,
                IsEmpty());
}

class BadMicrophoneResponse : public testing::TestWithParam<Bad> {};

TEST_P(BadMicrophoneResponse, isRefusedWithItsLine) {
    const Error error = errorOf([] { parseMicrophoneResponse(GetParam().text, "mic.csv"); });
    EXPECT_EQ(error.kind(), ErrorKind::input);
    for (const char* word : GetParam().words) EXPECT_THAT(error.what(), HasSubstr(word));
}

INSTANTIATE_TEST_SUITE_P(
    Texts, BadMicrophoneResponse,
    testing::Values(Bad{"", {"mic.csv"}}, Bad{"frequency_hz,level_db\n20,0\n", {"two"}},
                    Bad{"frequency_hz,levl_db\n20,0\n", {"line 1", "level_db"}},
                    Bad{"frequency_hz,level_db,x\n20,0,1\n", {"line 1", "'x'"}},
                    Bad{"frequency_hz,level_db\n20,0\n20,1\n", {"line 3", "frequency_hz"}},
                    Bad{"frequency_hz,level_db\n0,0\n20,1\n", {"line 2", "frequency_hz"}},
                    Bad{"frequency_hz,level_db\n20,nan\n", {"line 2", "level_db"}},
                    Bad{"frequency_hz,level_db\n20,\n", {"line 2", "level_db"}},
                    Bad{"frequency_hz,level_db,phase_deg\n20,0,\n", {"line 2", "phase_deg"}}));

}  // namespace

}  // namespace volvelle::test
