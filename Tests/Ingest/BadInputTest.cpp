#include "Ingest/Scenario.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace volvelle::test {

namespace {

using testing::HasSubstr;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

struct Wrong {
    const char* name;
    std::function<void(Scenario&)> spoil;
    ErrorKind kind;
    std::vector<const char*> words;
};

class BadInput : public testing::TestWithParam<Wrong> {};

/// One clear message with the right kind, and a folder as it was (checked by refusal()).
TEST_P(BadInput, isRefusedAndLeavesTheFolderAsItWas) {
    Scenario lab;
    GetParam().spoil(lab);
    const Error error = lab.refusal();
    EXPECT_EQ(error.kind(), GetParam().kind) << error.what();
    for (const char* word : GetParam().words) EXPECT_THAT(error.what(), HasSubstr(word));
}

std::string nameOf(const testing::TestParamInfo<Wrong>& info) {
    return info.param.name;
}

void silence(Channels& channels, std::size_t channel, double value) {
    std::fill(channels[channel].begin(), channels[channel].end(), value);
}

INSTANTIATE_TEST_SUITE_P(
    Recordings, BadInput,
    testing::Values(Wrong{"missing",
                          [](Scenario& s) { std::filesystem::remove(s.path("rec/1.wav")); },
                          ErrorKind::input,
                          {"rec/1.wav", "line 3", "missing"}},
                    Wrong{"empty",
                          [](Scenario& s) { writeBytes(s.path("rec/1.wav"), ""); },
                          ErrorKind::input,
                          {"rec/1.wav", "line 3", "empty"}},
                    Wrong{"cut",
                          [](Scenario& s) {
                              const std::string bytes = readBytes(s.path("rec/4.wav"));
                              writeBytes(s.path("rec/4.wav"), bytes.substr(0, bytes.size() - 1000));
                          },
                          ErrorKind::input,
                          {"rec/4.wav", "line 6", "is cut"}},
                    Wrong{"cutFlac",
                          [](Scenario& s) {
                              s.writeRecording("rec/4.wav", Scenario::recorded(4), Scenario::flac24);
                              const std::string bytes = readBytes(s.path("rec/4.wav"));
                              writeBytes(s.path("rec/4.wav"), bytes.substr(0, bytes.size() - 1000));
                          },
                          ErrorKind::input,
                          {"rec/4.wav", "line 6", "is cut"}},
                    Wrong{"random",
                          [](Scenario& s) {
                              writeBytes(s.path("rec/2.wav"), std::string(5000, '\x5A') + "noise");
                          },
                          ErrorKind::input,
                          {"rec/2.wav", "line 4", "no sound file"}},
                    Wrong{"silent",
                          [](Scenario& s) {
                              auto channels = Scenario::recorded(2);
                              silence(channels, 0, 0);
                              s.writeRecording("rec/2.wav", channels);
                          },
                          ErrorKind::input,
                          {"rec/2.wav", "line 4", "microphone", "silent"}},
                    Wrong{"offsetOnly",
                          [](Scenario& s) {
                              auto channels = Scenario::recorded(2);
                              silence(channels, 0, 0.125);
                              s.writeRecording("rec/2.wav", channels);
                          },
                          ErrorKind::input,
                          {"rec/2.wav", "line 4", "silent"}},
                    Wrong{"silentLoopback",
                          [](Scenario& s) {
                              auto channels = Scenario::recorded(3);
                              silence(channels, 1, 0);
                              s.writeRecording("rec/3.wav", channels);
                          },
                          ErrorKind::input,
                          {"rec/3.wav", "line 5", "loopback's channel 2", "silent"}},
                    Wrong{"notANumber",
                          [](Scenario& s) {
                              auto channels = Scenario::recorded(1);
                              channels[0][777] = nan;
                              s.writeRecording("rec/1.wav", channels, Scenario::wavFloat);
                          },
                          ErrorKind::input,
                          {"rec/1.wav", "line 3", "sample 777 of channel 1"}},
                    Wrong{"infiniteLoopback",
                          [](Scenario& s) {
                              auto channels = Scenario::recorded(1);
                              channels[1][778] = HUGE_VAL;
                              s.writeRecording("rec/1.wav", channels, Scenario::wavFloat);
                          },
                          ErrorKind::input,
                          {"rec/1.wav", "line 3", "sample 778 of channel 2"}},
                    Wrong{"otherRate",
                          [](Scenario& s) {
                              s.writeRecording("rec/1.wav", Scenario::recorded(1), Scenario::wav24, 96000);
                          },
                          ErrorKind::input,
                          {"rec/1.wav", "line 3", "96000 Hz", "48000 Hz", "front"}},
                    Wrong{"otherLength",
                          [](Scenario& s) {
                              auto channels = Scenario::recorded(1);
                              for (auto& channel : channels) channel.pop_back();
                              s.writeRecording("rec/1.wav", channels);
                          },
                          ErrorKind::input,
                          {"rec/1.wav", "line 3", "14399", "14400", "rec/0.wav"}},
                    Wrong{"withoutLoopback",
                          [](Scenario& s) { s.writeRecording("rec/1.wav", {Scenario::recorded(1)[0]}); },
                          ErrorKind::input,
                          {"rec/1.wav", "line 3", "1 channel,", "channel 2", "loopback"}},
                    Wrong{"aFolder",
                          [](Scenario& s) {
                              std::filesystem::remove(s.path("rec/1.wav"));
                              std::filesystem::create_directory(s.path("rec/1.wav"));
                          },
                          ErrorKind::input,
                          {"rec/1.wav", "line 3", "folder"}},
                    Wrong{"theFirstOfSeveralIsNamed",
                          [](Scenario& s) {
                              for (const char* name : {"rec/4.wav", "rec/2.wav", "rec/3.wav"}) {
                                  auto channels = Scenario::recorded(2);
                                  silence(channels, 0, 0);
                                  s.writeRecording(name, channels);
                              }
                          },
                          ErrorKind::input,
                          {"rec/2.wav"}}),
    nameOf);

INSTANTIATE_TEST_SUITE_P(
    OtherFiles, BadInput,
    testing::Values(
        Wrong{"noManifest",
              [](Scenario& s) { s.options.manifestPath = s.path("none.csv"); },
              ErrorKind::input,
              {"none.csv"}},
        Wrong{"emptyManifest",
              [](Scenario& s) { writeBytes(s.path("MANIFEST.csv"), ""); },
              ErrorKind::input,
              {"MANIFEST.csv"}},
        Wrong{"sameCaptureTwice",
              [](Scenario& s) {
                  s.writeManifest("rec/0.wav,front,horizontal,0\nrec/1.wav,front,horizontal,360\n");
              },
              ErrorKind::input,
              {"line 3", "line 2", "front"}},
        Wrong{"noExcitation",
              [](Scenario& s) { s.options.excitationPath = s.path("none.wav"); },
              ErrorKind::input,
              {"none.wav", "missing"}},
        Wrong{"silentExcitation",
              [](Scenario& s) { s.writeRecording("sweep.wav", {std::vector<double>(9600, 0.0)}); },
              ErrorKind::input,
              {"sweep.wav", "the excitation is silent"}},
        Wrong{"excitationOfAnotherRate",
              [](Scenario& s) {
                  s.writeRecording("sweep.wav", {Scenario::excitation()}, Scenario::wav24, 44100);
              },
              ErrorKind::input,
              {"rec/0.wav", "48000 Hz", "44100 Hz", "sweep.wav"}},
        Wrong{"excitationTooLong",
              [](Scenario& s) {
                  auto longer = Scenario::excitation();
                  longer.resize(Scenario::length + 1);
                  s.writeRecording("sweep.wav", {longer});
              },
              ErrorKind::input,
              {"rec/0.wav", "14400", "14401"}},
        Wrong{"microphoneResponse",
              [](Scenario& s) {
                  writeBytes(s.path("mic.csv"), "frequency_hz,level_db\n20,0\n10,0\n");
                  s.options.microphoneResponsePath = s.path("mic.csv");
              },
              ErrorKind::input,
              {"mic.csv", "line 3", "frequency_hz"}},
        Wrong{"planIsNoPlan",
              [](Scenario& s) {
                  writeBytes(s.path("plan.json"), "{\"distance_m\": 1.5,}");
                  s.options.planPath = s.path("plan.json");
              },
              ErrorKind::input,
              {"plan.json"}},
        Wrong{"driveThatThePlanLacks",
              [](Scenario& s) {
                  writeBytes(s.path("plan.json"),
                             R"({"unit": {"sections": [{"name": "front"}, {"name": "back"}]}})");
                  s.options.planPath = s.path("plan.json");
              },
              ErrorKind::input,
              {"MANIFEST.csv, line 5", "'rear'"}},
        Wrong{"offsetBeyondTheMicrophone",
              [](Scenario& s) {
                  writeBytes(s.path("plan.json"), R"({"unit": {"reference_point_from_axis_m": [3, 0, 0]}})");
                  s.options.planPath = s.path("plan.json");
              },
              ErrorKind::input,
              {"MANIFEST.csv, line 2", "3 m"}},
        Wrong{"outputExists",
              [](Scenario& s) { writeBytes(s.path("RUN.h5"), "precious"); },
              ErrorKind::output,
              {"RUN.h5", "exists"}},
        Wrong{"outputIsTheManifest",
              [](Scenario& s) { s.options.outputPath = s.options.manifestPath; },
              ErrorKind::output,
              {"MANIFEST.csv", "exists"}},
        Wrong{"outputFolderMissing",
              [](Scenario& s) { s.options.outputPath = s.path("none/RUN.h5"); },
              ErrorKind::output,
              {"none"}}),
    nameOf);

template <typename T>
Wrong value(const char* name, T IngestOptions::*field, T wrong, const char* option) {
    return {name, [=](Scenario& s) { s.options.*field = wrong; }, ErrorKind::usage, {option}};
}

using Number = std::optional<double>;

INSTANTIATE_TEST_SUITE_P(
    Options, BadInput,
    testing::Values(
        value<Number>("distanceZero", &IngestOptions::distanceM, 0, "--distance-m"),
        value<Number>("distanceNegative", &IngestOptions::distanceM, -2, "--distance-m"),
        value<Number>("distanceNotANumber", &IngestOptions::distanceM, nan, "--distance-m"),
        value<Number>("distanceInfinite", &IngestOptions::distanceM, HUGE_VAL, "--distance-m"),
        value<Number>("distanceAbsent", &IngestOptions::distanceM, std::nullopt, "--distance-m"),
        value<Number>("pascalZero", &IngestOptions::pascalPerFullScale, 0, "--pascal-per-full-scale"),
        value<Number>("pascalNegative", &IngestOptions::pascalPerFullScale, -1, "--pascal-per-full-scale"),
        value<Number>("pascalNotANumber", &IngestOptions::pascalPerFullScale, nan, "--pascal-per-full-scale"),
        value<Number>("pascalAbsent", &IngestOptions::pascalPerFullScale, std::nullopt,
                      "--pascal-per-full-scale"),
        value<Number>("voltsZero", &IngestOptions::voltsPerFullScale, 0, "--volts-per-full-scale"),
        value<Number>("voltsNegative", &IngestOptions::voltsPerFullScale, -1, "--volts-per-full-scale"),
        value<Number>("voltsNotANumber", &IngestOptions::voltsPerFullScale, nan, "--volts-per-full-scale"),
        value<Number>("voltsAbsent", &IngestOptions::voltsPerFullScale, std::nullopt,
                      "--volts-per-full-scale"),
        value<Number>("loopbackVoltsZero", &IngestOptions::loopbackVoltsPerFullScale, 0,
                      "--loopback-volts-per-full-scale"),
        value<Number>("sizeZero", &IngestOptions::unitSizeM, 0, "--unit-size-m"),
        value<Number>("sizeNotANumber", &IngestOptions::unitSizeM, nan, "--unit-size-m"),
        value<Number>("textVoltsForRecordings", &IngestOptions::textDriveVolts, 2.83, "--text-drive-volts"),
        value<std::optional<int>>("loopbackIsTheMicrophone", &IngestOptions::loopbackChannel, 1,
                                  "--loopback-channel"),
        value<std::optional<int>>("loopbackZero", &IngestOptions::loopbackChannel, 0, "--loopback-channel"),
        value<std::string>("noExcitationNamed", &IngestOptions::excitationPath, "", "--excitation"),
        value<std::string>("noOutput", &IngestOptions::outputPath, "", "--out"),
        value<bool>("twoForms", &IngestOptions::impulseResponses, true, "--impulse-responses"),
        value<int>("jobs", &IngestOptions::jobs, -1, "--jobs"),
        Wrong{"loopbackVoltsWithoutLoopback",
              [](Scenario& s) {
                  s.options.loopbackChannel.reset();
                  s.options.loopbackVoltsPerFullScale = 1;
              },
              ErrorKind::usage,
              {"--loopback-volts-per-full-scale"}},
        Wrong{"loopbackOfImpulses",
              [](Scenario& s) {
                  s.options.excitationPath.clear();
                  s.options.impulseResponses = true;
              },
              ErrorKind::usage,
              {"--loopback-channel"}},
        Wrong{"calibrationOfTexts",
              [](Scenario& s) {
                  s.options.excitationPath.clear();
                  s.options.loopbackChannel.reset();
                  s.options.textResponses = true;
              },
              ErrorKind::usage,
              {"--pascal-per-full-scale", "--text-drive-volts"}}),
    nameOf);

TEST(OptionValues, areReadOrRefusedByName) {
    EXPECT_EQ(parseDriveQuantity("terminal-volts"), DriveQuantity::terminalVolts);
    EXPECT_EQ(parseDriveQuantity("input-volts"), DriveQuantity::inputVolts);
    EXPECT_EQ(parseDriveQuantity("digital-full-scale"), DriveQuantity::digitalFullScale);
    const Error quantity = errorOf([] { parseDriveQuantity("terminal-volt"); });
    EXPECT_EQ(quantity.kind(), ErrorKind::usage);
    EXPECT_THAT(quantity.what(),
                testing::AllOf(HasSubstr("--drive-quantity"), HasSubstr("'terminal-volts'")));
    const Air air = parseAirOption("20,50,101.325");
    EXPECT_EQ(air.temperatureC, 20);
    EXPECT_EQ(air.relativeHumidityPercent, 50);
    EXPECT_EQ(air.pressureKPa, 101.325);
    for (const char* text : {"", "20", "20,50", "20,50,101,5", "20,50,nan", "20;50;101", "20,101,101",
                             "2000,50,101", "20,50,1013.25", "x,50,101"}) {
        const Error error = errorOf([&] { parseAirOption(text); });
        EXPECT_EQ(error.kind(), ErrorKind::usage) << text;
        EXPECT_THAT(error.what(), HasSubstr("--air")) << text;
    }
}

}  // namespace

}  // namespace volvelle::test
