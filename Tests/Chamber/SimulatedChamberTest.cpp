#include "Chamber/SimulatedChamber.h"
#include "Chamber/Stage.h"
#include "Clock/SystemClock.h"
#include "Signal/Aligned.h"
#include "Signal/FourierTransform.h"
#include "Text/Error.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <thread>

namespace volvelle {
namespace {

using stage::Chamber;
using stage::rate;
using stage::shot;

Scene noisy() {
    Scene s = stage::scene();
    s.microphoneNoise.levelDb = 25;
    s.background = {20, NoiseColour::pink};
    s.converters = {1.3e-3, 1e-4, 24, -110, 0, 0};
    s.table.positionErrorDeg = 0.1;
    return s;
}

std::vector<std::vector<float>> at(Chamber& c, double tableDeg, const std::string& label) {
    c.turn(tableDeg);
    return c.play(shot({stage::frontChannel}, stage::sweep(), 30000, label)).channels;
}

// ---- one seed, one result ----

TEST(SimulatedChamber, GivesTheSameSamplesWhateverTheOrderOfShots) {
    const std::vector<std::pair<double, std::string>> shots{{0, "a"}, {30, "b"}, {-170, "c"}, {30, "d"}};
    Chamber forwards(stage::plan(), noisy()), backwards(stage::plan(), noisy());
    std::vector<std::vector<std::vector<float>>> first, second;
    for (const auto& [deg, label] : shots) first.push_back(at(forwards, deg, label));
    for (auto i = shots.rbegin(); i != shots.rend(); ++i) {
        second.insert(second.begin(), at(backwards, i->first, i->second));
        at(backwards, 77, "in between");
    }
    for (std::size_t i = 0; i < shots.size(); ++i) EXPECT_EQ(first[i], second[i]) << shots[i].second;
    EXPECT_NE(first[1], first[3]) << "two labels, two noises";
}

TEST(SimulatedChamber, GivesOtherSamplesForAnotherSeed) {
    Chamber one(stage::plan(), noisy(), 1), again(stage::plan(), noisy(), 1), two(stage::plan(), noisy(), 2);
    const auto first = at(one, 30, "a");
    EXPECT_EQ(first, at(again, 30, "a"));
    const auto second = at(two, 30, "a");
    EXPECT_NE(first[0], second[0]);
    EXPECT_NE(first[1], second[1]);
}

// ---- time ----

TEST(SimulatedChamber, PassesTheTimeOfShotsAndMovesOnItsClock) {
    Scene scene = stage::scene();
    scene.table.speedDegPerS = 10;
    scene.attendantS = 60;
    Chamber c(stage::plan(), scene);
    const double begin = c.clock.nowS();
    c.turn(90);
    EXPECT_NEAR(c.clock.nowS() - begin, 9, 1e-9);
    c.play(shot({stage::frontChannel}, stage::sweep(), 48000));
    EXPECT_NEAR(c.clock.nowS() - begin, 10, 1e-9);
    c.lay();
    EXPECT_NEAR(c.clock.nowS() - begin, 70, 1e-9);
}

/// Asks again and again until the work is done: an interruption of before it began counts for nothing.
template <typename Work, typename Ask>
auto interrupted(Work work, Ask ask) {
    std::atomic<bool> isDone = false;
    std::jthread asker([&] {
        while (!isDone) {
            ask();
            std::this_thread::yield();
        }
    });
    const auto result = work();
    isDone = true;
    return result;
}

// Shot and move would take two minutes.
TEST(SimulatedChamber, AtRealPaceEndsAtOnceWhenAnotherThreadAsksForIt) {
    SystemClock clock;
    Scene scene = stage::scene();
    SimulatedChamber chamber(stage::plan(), scene, 1, clock);
    ASSERT_TRUE(chamber.turntable().home({}).arrived());
    scene.table.speedDegPerS = 1;
    SimulatedChamber slow(stage::plan(), scene, 1, clock);
    ASSERT_TRUE(slow.turntable().home({}).arrived());
    AudioShot longOne;
    longOne.inputs = {1};
    longOne.samples = static_cast<std::size_t>(120 * rate);
    AudioPath& audio = chamber.audioPath();
    const AudioTake silenced = interrupted([&] { return audio.play(longOne, {}); }, [&] { audio.silence(); });
    EXPECT_EQ(silenced.outcome, AudioOutcome::stopped);
    EXPECT_TRUE(silenced.channels.empty());
    std::stop_source source;
    source.request_stop();
    EXPECT_EQ(audio.play(longOne, source.get_token()).outcome, AudioOutcome::stopped);
    Turntable& table = slow.turntable();
    const TableResult moved = interrupted([&] { return table.moveTo({120, 0}, {}); }, [&] { table.stop(); });
    EXPECT_EQ(moved.outcome, TableOutcome::stopped);
    EXPECT_LT(moved.pose.tableDeg, 119);
    EXPECT_EQ(table.moveTo({0, 0}, source.get_token()).outcome, TableOutcome::stopped);
}

TEST(SimulatedChamber, SilenceHoldsBackNothingThatBeginsLaterAndAStopAskedForDoes) {
    Chamber c(stage::plan(), stage::scene());
    AudioPath& audio = c.chamber.audioPath();
    audio.silence();
    EXPECT_TRUE(c.play(shot({}, {}, 480)).done());
    std::stop_source source;
    source.request_stop();
    audio.silence();
    EXPECT_EQ(audio.play(shot({}, {}, 480), source.get_token()).outcome, AudioOutcome::stopped);
}

// ---- noise ----

TEST(SimulatedChamber, HasWhiteNoiseOfTheStatedLevel) {
    Scene scene = stage::scene();
    scene.microphoneNoise.levelDb = 30;
    scene.background.levelDb = 30;
    Chamber c(stage::plan(), scene);
    const auto heard = c.play(shot({}, {}, 96000)).channels[0];
    const double pascal = 20e-6 * std::pow(10, 30.0 / 20) * std::sqrt(2.0);
    EXPECT_NEAR(stage::rms(heard) * 20 / pascal, 1, 4.5 / std::sqrt(2 * 96000.0));
    double product = 0;  // neighbours are independent
    for (std::size_t n = 1; n < heard.size(); ++n) product += double{heard[n]} * double{heard[n - 1]};
    EXPECT_LT(std::abs(product / 96000) / std::pow(stage::rms(heard), 2), 4.5 / std::sqrt(96000.0));
}

/// In two seconds at that sample rate.
void expectPinkNoise(double sampleRateHz) {
    Plan plan = stage::plan();
    plan.audio.sampleRateHz = sampleRateHz;
    Scene scene = stage::scene();
    scene.background = {40, NoiseColour::pink};
    Chamber c(plan, scene);
    const auto length = static_cast<std::size_t>(2 * sampleRateHz);
    const auto heard = c.play(shot({}, {}, length)).channels[0];
    const RealTransform<double> transform(length);
    AlignedVector<double> samples(heard.begin(), heard.end());
    AlignedVector<std::complex<double>> bins(transform.bins());
    transform.forward(samples.data(), bins.data());
    const double pascal = 20e-6 * std::pow(10, 40.0 / 20);
    for (const double octave : {125.0, 500.0, 2000.0, 8000.0}) {
        double power = 0, count = 0;
        for (std::size_t k = 1; k < bins.size(); ++k) {
            const double f = static_cast<double>(k) / 2;
            if (f < octave / std::sqrt(2.0) || f >= octave * std::sqrt(2.0)) continue;
            power += 2 * std::norm(bins[k]) / std::pow(2 * sampleRateHz, 2) * 400;
            ++count;
        }
        // An octave's share of ln 1000; the scatter of a sum of `count` bins of two degrees of freedom.
        EXPECT_NEAR(power / (pascal * pascal * std::log(2.0) / std::log(1000.0)), 1,
                    4.5 / std::sqrt(count) + 0.01)
            << octave << " Hz at " << sampleRateHz;
    }
}

TEST(SimulatedChamber, HasPinkNoiseOfTheStatedLevelInEqualOctavesAtAnySampleRate) {
    for (const double sampleRateHz : {48000.0, 96000.0}) expectPinkNoise(sampleRateHz);
}

// ---- converters ----

TEST(SimulatedChamber, QuantisesToItsBitsAndClipsAtFullScale) {
    Plan plan = stage::plan();
    plan.pascalPerFullScale = 0.05;
    Scene scene = stage::scene();
    scene.converters.bits = 16;
    Chamber c(plan, scene);
    const auto heard = c.play(shot({stage::frontChannel}, stage::sweep())).channels[0];
    float largest = 0, smallest = 0;
    for (const float x : heard) {
        ASSERT_EQ(x * 32768, std::nearbyint(x * 32768));
        largest = std::max(largest, x);
        smallest = std::min(smallest, x);
    }
    EXPECT_EQ(largest, 32767.0F / 32768);
    EXPECT_EQ(smallest, -1.0F);
    EXPECT_EQ(c.chamber.audioPath().facts().bitsPerSample, 16);
}

TEST(SimulatedChamber, RecordsTheLoopbackInThePlansVoltsAfterTheLatency) {
    Scene scene = stage::scene();
    scene.converters.latencyS = 100 / rate;
    Chamber c(stage::plan(), scene);
    const AudioTake take = c.play(shot({}, stage::tone(1000, 0.5)));
    const auto found = stage::amplitudeAt(take.channels[1], 1000);
    const auto expected = 0.25 * std::polar(1.0, -2 * M_PI * 1000 * 100 / rate);  // 2.83 V of 5.66 V
    EXPECT_LT(std::abs(found - expected), 1e-6);
    for (const float x : take.channels[0]) ASSERT_EQ(x, 0.0F) << "the loopback is a wire";
}

TEST(SimulatedChamber, RecordsTheConvertersNoiseOnEveryInput) {
    Scene scene = stage::scene();
    scene.converters.noiseDb = -80;
    Chamber c(stage::plan(), scene);
    const AudioTake take = c.play(shot({}, {}, 96000));
    for (const auto& channel : take.channels)
        EXPECT_NEAR(stage::rms(channel) / 1e-4, 1, 4.5 / std::sqrt(2 * 96000.0));
    EXPECT_NE(take.channels[0], take.channels[1]);
}

TEST(SimulatedChamber, StartsMicrophoneAndLoopbackTogetherHoweverLate) {
    Scene scene = stage::scene();
    scene.converters.startJitterS = 1e-3;
    Chamber c(stage::plan(), scene);
    std::vector<double> delays;
    std::complex<double> ratio;
    for (int i = 0; i < 40; ++i) {
        const auto take = c.play(shot({stage::frontChannel}, stage::tone(200, 0.5, 60000), 40000,
                                      "shot " + std::string(static_cast<std::size_t>(i), 'i')));
        const auto heard = stage::amplitudeAt(take.channels[0], 200),
                   wire = stage::amplitudeAt(take.channels[1], 200);
        delays.push_back(-std::arg(wire) / (2 * M_PI * 200));
        if (i == 0) ratio = heard / wire;
        EXPECT_LT(std::abs(heard / wire - ratio), 1e-5 * std::abs(ratio));
    }
    const auto [earliest, latest] = std::minmax_element(delays.begin(), delays.end());
    EXPECT_GE(*earliest, -1e-9);
    EXPECT_LE(*latest, 1e-3);
    EXPECT_GT(*latest - *earliest, 5e-4);  // 40 draws within half the range: 4e-11
}

TEST(SimulatedChamber, RecordsWithAClockOfItsOwn) {
    Scene scene = stage::scene();
    scene.converters.recorderOffsetPpm = 50;
    Chamber c(stage::plan(), scene);
    for (const double f : {1000.0, 11000.0}) {
        const auto wire = c.play(shot({}, stage::tone(f, 0.5))).channels[1];
        double largest = 0;
        for (std::size_t n = 5000; n < 39000; ++n)  // the tone begins and ends with a step, which rings
            largest = std::max(
                largest, std::abs(double{wire[n]} - 0.25 * std::sin(2 * M_PI * f / rate *
                                                                    static_cast<double>(n) * (1 - 50e-6))));
        EXPECT_LT(largest, 1e-4) << f;
    }
}

// ---- what it is asked ----

TEST(SimulatedChamber, RefusesAPlanThatDoesNotFitItsScene) {
    SimulatedClock clock(0);
    const auto refusal = [&](auto change) -> std::string {
        Plan plan = stage::plan();
        Scene scene = stage::scene();
        change(plan, scene);
        try {
            SimulatedChamber(plan, scene, 1, clock);
        } catch (const Error& error) {
            EXPECT_EQ(error.kind(), ErrorKind::input);
            return error.what();
        }
        return "no error";
    };
    EXPECT_THAT(refusal([](Plan&, Scene& s) { s.drivers[0].section = "frnt"; }),
                testing::HasSubstr("'frnt', which is no section of the unit. Did you mean 'front'?"));
    EXPECT_THAT(refusal([](Plan& p, Scene&) { p.sections[1].outputChannels.clear(); }),
                testing::HasSubstr("'rear' has no output channel"));
    EXPECT_THAT(refusal([](Plan& p, Scene&) { p.distanceM = NAN; }), testing::HasSubstr("distance"));
    EXPECT_THAT(refusal([](Plan& p, Scene&) { p.distanceM = 0.15; }), testing::HasSubstr("within the"));
    EXPECT_THAT(refusal([](Plan& p, Scene&) { p.pascalPerFullScale = NAN; }),
                testing::HasSubstr("calibration"));
    EXPECT_THAT(refusal([](Plan& p, Scene&) { p.audio.sampleRateHz = 800; }), testing::HasSubstr("kHz"));
}

TEST(SimulatedChamber, TakesAShotOnChannelsThatItDoesNotHaveForAFaultOfTheProgram) {
    Chamber c(stage::plan(), stage::scene());
    AudioShot wrong = shot({stage::frontChannel}, stage::sweep());
    wrong.inputs = {9};
    EXPECT_THROW(c.play(wrong), Error);
    wrong.inputs = {1};
    wrong.outputs[0].channel = 0;
    EXPECT_THROW(c.play(wrong), Error);
}

}  // namespace
}  // namespace volvelle
