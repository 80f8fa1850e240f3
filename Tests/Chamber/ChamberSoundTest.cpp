#include "Chamber/SimulatedChamber.h"
#include "Chamber/Stage.h"
#include "Quantities/Air.h"
#include "Run/TableGeometry.h"
#include "Signal/Deconvolution.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace volvelle {
namespace {

using stage::Chamber;
using stage::rate;
using stage::shot;

const RigidSphere sphere{0.15, 343.2, 1.2041};
const std::vector<double> frequencies{55, 100, 317, 1000, 4000, 12000, 18000};

/// Pa per V of one driver, from the series and the handbook's second-order filter.
std::complex<double> exactPressure(const SceneDriver& driver, const Direction& where, double distanceM,
                                   double f) {
    const auto acceleration = driver.filter.accelerationPerVolt *
                              stage::highPass(f, driver.filter.resonanceHz, driver.filter.quality);
    return acceleration / std::complex<double>(0, 2 * M_PI * f) * SphereField(sphere, {f}, distanceM).pressure(driver.cap, where)[0];
}

/// Pa per V at each of `frequencies`, as Modules/Signal finds it in a take.
std::vector<std::complex<double>> measured(const AudioTake& take, const Plan& plan) {
    auto out = stage::transferAt(frequencies, stage::sweep(), take.channels[0], take.channels[1]);
    for (auto& p : out) p *= plan.pascalPerFullScale / plan.loopbackVoltsPerFullScale;
    return out;
}

double largestError(const AudioTake& take, const Plan& plan, const Scene& scene,
                    const std::vector<std::size_t>& drivers, const Placement& where) {
    const auto found = measured(take, plan);
    double largest = 0;
    for (std::size_t i = 0; i < frequencies.size(); ++i) {
        std::complex<double> expected = 0;
        for (const std::size_t d : drivers)
            expected += exactPressure(scene.drivers[d], where.direction, where.distanceM, frequencies[i]);
        largest = std::max(largest, std::abs(found[i] - expected) / std::abs(expected));
    }
    return largest;
}

// Transforms of whole recordings in double precision: what is left (2e-6 in the deepest shadow at 18 kHz) is the
// single precision of the samples.
TEST(ChamberSound, IsTheExactFieldToThePrecisionOfItsSamples) {
    const Plan plan = stage::plan();
    const Scene scene = stage::scene();
    Chamber c(plan, scene);
    const auto transformed = [](const std::vector<float>& x, double f) {
        std::complex<double> sum = 0;
        for (std::size_t n = 0; n < x.size(); ++n)
            sum += double{x[n]} *
                   std::polar(1.0, -2 * M_PI * std::fmod(f / rate * static_cast<double>(n), 1.0));
        return sum;
    };
    for (const double deg : {0.0, 50.0, 180.0}) {
        c.turn(deg);
        const auto heard = c.play(shot({stage::frontChannel}, stage::sweep(), 60000)).channels;
        for (const double f : frequencies) {
            const auto found = transformed(heard[0], f) * plan.pascalPerFullScale /
                               (transformed(heard[1], f) * plan.loopbackVoltsPerFullScale);
            const auto expected = exactPressure(scene.drivers[0], {-deg, 0}, 2, f);
            EXPECT_LT(std::abs(found - expected) / std::abs(expected), 5e-6) << f << " Hz at " << deg;
        }
    }
}

// What limits it (2.5e-5 found): single precision of recordings and deconvolution, and what the deconvolution
// adds to the power that it divides by.
TEST(ChamberSound, DeconvolvesToTheExactFieldInTheTrueDirectionAtTheTrueDistance) {
    Plan plan = stage::plan();
    plan.referencePointM = {0.1, -0.03, 0.02};
    plan.table.countsClockwise = true;
    plan.table.liesOnLeftSide = false;
    Scene scene = stage::scene();
    scene.converters.latencyS = 7.3e-3;
    scene.converters.startJitterS = 2e-4;
    Chamber c(plan, scene);
    for (const Stance stance : {Stance::upright, Stance::onSide}) {
        if (stance == Stance::onSide) c.lay();
        for (const double angle : {0.0, 50.0, -90.0, 180.0}) {
            const Orbit orbit = stance == Stance::upright ? Orbit::horizontal : Orbit::vertical;
            const SetPosition position{orbit, angle, directionOn(orbit, angle), stance};
            ASSERT_TRUE(c.turn(poseOf(position, plan.table).tableDeg).arrived());
            const Placement where = placementOf(position, plan);
            for (const auto& [channels, drivers] :
                 std::vector<std::pair<std::vector<int>, std::vector<std::size_t>>>{
                     {{stage::frontChannel}, {0}},
                     {{stage::rearChannel}, {1}},
                     {{stage::frontChannel, stage::rearChannel}, {0, 1}}}) {
                const AudioTake take = c.play(shot(channels, stage::sweep()));
                ASSERT_TRUE(take.done());
                EXPECT_LT(largestError(take, plan, scene, drivers, where), 1e-4)
                    << stanceName(stance) << " " << angle << " drivers " << drivers.size();
            }
        }
    }
}

TEST(ChamberSound, OfTwoSectionsIsTheSumOfTheirSounds) {
    Chamber c(stage::plan(), stage::scene());
    c.turn(40);
    const auto front = c.play(shot({stage::frontChannel}, stage::sweep())).channels[0];
    const auto rear = c.play(shot({stage::rearChannel}, stage::sweep())).channels[0];
    const auto both = c.play(shot({stage::frontChannel, stage::rearChannel}, stage::sweep())).channels[0];
    float largest = 0;
    for (std::size_t n = 0; n < both.size(); ++n) largest = std::max(largest, std::abs(both[n]));
    for (std::size_t n = 0; n < both.size(); ++n)
        ASSERT_NEAR(both[n], front[n] + rear[n], 3e-7F * largest) << n;
}

TEST(ChamberSound, FollowsTheSamplesOfItsChannelInGainPolarityAndDelay) {
    Chamber c(stage::plan(), stage::scene());
    const auto plain = c.play(shot({stage::frontChannel}, stage::sweep())).channels[0];
    constexpr std::size_t delay = 13;
    std::vector<float> changed(delay, 0);
    for (const float x : stage::sweep()) changed.push_back(-0.25F * x);
    const auto heard = c.play(shot({stage::frontChannel}, changed)).channels[0];
    for (std::size_t n = delay; n < heard.size(); ++n)
        ASSERT_NEAR(heard[n], -0.25F * plain[n - delay], 1e-8F);
}

TEST(ChamberSound, IsSilentWhereNothingPlaysAndAChannelOfNoSectionIsNotHeard) {
    Chamber c(stage::plan(), stage::scene());
    for (const auto& channels : {std::vector<int>{}, {1}, {2}}) {
        const AudioTake take = c.play(shot(channels, stage::sweep()));
        for (const float x : take.channels[0]) ASSERT_EQ(x, 0.0F);
    }
}

// Trigonometry: x + a2 x² + a3 x³ at amplitude A has harmonics a2 A²/2 and a3 A³/4, and the fundamental
// becomes A + 3 a3 A³/4.
TEST(ChamberSound, HasTheHarmonicsOfItsPolynomialBeforeAndBehindTheDriversFilter) {
    constexpr double f = 1000, a2 = 0.02, a3 = 0.03;
    for (const auto place : {DriverNonlinearity::Place::voltage, DriverNonlinearity::Place::acceleration}) {
        Scene scene = stage::scene();
        SceneDriver& driver = scene.drivers[0];
        driver.filter.resonanceHz = 700;
        driver.nonlinearity = {a2, a3, place};
        const Plan plan = stage::plan();
        Chamber c(plan, scene);
        const auto heard = c.play(shot({stage::frontChannel}, stage::tone(f, 0.5))).channels[0];
        const auto response = [&](double hz) { return std::abs(exactPressure(driver, {0, 0}, 2, hz)); };
        DriverFilter only;
        only.resonanceHz = 700;
        only.quality = driver.filter.quality;
        const auto filter = [&](double hz) { return std::abs(relativeResponse(only, hz)); };
        const double volts = 0.5 * plan.voltsPerFullScale;
        const bool isAhead = place == DriverNonlinearity::Place::voltage;
        const double amplitude = isAhead ? volts : volts * filter(f);
        const std::vector<double> made{amplitude + 3 * a3 * std::pow(amplitude, 3) / 4,
                                       a2 * amplitude * amplitude / 2, a3 * std::pow(amplitude, 3) / 4};
        for (std::size_t n = 0; n < 3; ++n) {
            const double hz = static_cast<double>(n + 1) * f;
            const double pascal = made[n] * response(hz) / (isAhead ? 1 : filter(hz));
            EXPECT_NEAR(std::abs(stage::amplitudeAt(heard, hz)) * plan.pascalPerFullScale / pascal, 1, 1e-4)
                << "harmonic " << n + 1 << (isAhead ? " of the voltage" : " of the acceleration");
        }
    }
}

// 3 · 15 kHz lies above half the rate; folded back it would sound at 3 kHz.
TEST(ChamberSound, DoesNotFoldHarmonicsBackIntoTheBand) {
    Scene scene = stage::scene();
    scene.drivers[0].nonlinearity = {0.02, 0.05, DriverNonlinearity::Place::voltage};
    Chamber c(stage::plan(), scene);
    const auto heard = c.play(shot({stage::frontChannel}, stage::tone(15000, 0.5))).channels[0];
    const double fundamental = std::abs(stage::amplitudeAt(heard, 15000));
    EXPECT_LT(std::abs(stage::amplitudeAt(heard, 3000)) / fundamental, 1e-6);
    EXPECT_LT(std::abs(stage::amplitudeAt(heard, 18000)) / fundamental, 1e-6);
}

TEST(ChamberSound, HasReflectionsOfTheStatedDelayAndLevelBelowTheirCutoff) {
    Scene scene = stage::scene();
    const Plan plan = stage::plan();
    Chamber bare(plan, scene);
    scene.reflections = {{0.005, -20, 400}};
    Chamber lined(plan, scene);
    const AudioShot one = shot({stage::frontChannel}, stage::sweep());
    const auto direct = measured(bare.play(one), plan), whole = measured(lined.play(one), plan);
    for (std::size_t i = 0; i < frequencies.size(); ++i) {
        const double x = frequencies[i] / 400;  // Butterworth of second order
        const auto expected = 0.1 / std::complex<double>(1 - x * x, std::sqrt(2.0) * x) *
                              std::polar(1.0, -2 * M_PI * frequencies[i] * 0.005);
        EXPECT_LT(std::abs(whole[i] / direct[i] - 1.0 - expected), 1e-4) << frequencies[i] << " Hz";
    }
}

// A doubled distance is -6.02 dB in a free field (handbook); exact for a sphere that breathes.
TEST(ChamberSound, FallsBySixDecibelsForEachDoublingOfDistance) {
    std::vector<double> levels;
    for (const double distance : {0.5, 1.0, 2.0, 4.0, 8.0}) {
        Plan plan = stage::plan();
        plan.distanceM = distance;
        Chamber c(plan, stage::breathing());
        const auto heard = c.play(shot({stage::frontChannel}, stage::tone(1000, 0.5))).channels[0];
        levels.push_back(stage::level(std::abs(stage::amplitudeAt(heard, 1000))));
    }
    for (std::size_t i = 1; i < levels.size(); ++i)
        EXPECT_NEAR(levels[i] - levels[i - 1], -20 * std::log10(2.0), 1e-4);
}

// ISO 9613-1:1993: 331.3 m/s at 0 °C, 337.3 at 10 °C, 349.0 at 30 °C.
TEST(ChamberSound, TravelsAtTheSpeedOfSoundOfItsTemperature) {
    const auto phaseAt = [](double distance, double temperatureC) {
        Plan plan = stage::plan();
        plan.distanceM = distance;
        plan.air.temperatureC = temperatureC;
        Chamber c(plan, stage::breathing());
        const auto heard = c.play(shot({stage::frontChannel}, stage::tone(400, 0.5))).channels[0];
        return stage::amplitudeAt(heard, 400);
    };
    for (const auto& [temperatureC, speed] : {std::pair{0.0, 331.3}, {10.0, 337.3}, {30.0, 349.0}}) {
        // 0.4 m further is less than half a turn.
        const double turn = -std::arg(phaseAt(2.4, temperatureC) / phaseAt(2, temperatureC)) / (2 * M_PI);
        EXPECT_NEAR(0.4 * 400 / turn, speed, 0.06) << temperatureC;
    }
}

// ISO 9613-2:1996 Table 2, 20 °C and 70 %: 76.6 dB/km in the octave of 8 kHz, whose exact centre is 7943 Hz.
TEST(ChamberSound, LosesToTheAirWhatTheStandardSaysWhereThatIsAsked) {
    const auto levelAt = [](bool absorbs) {
        Plan plan = stage::plan();
        plan.distanceM = 20;
        plan.air = {20, 70, 101.325};
        Scene scene = stage::breathing();
        scene.airAbsorbs = absorbs;
        Chamber c(plan, scene);
        const auto heard = c.play(shot({stage::frontChannel}, stage::tone(7945, 0.5))).channels[0];
        return stage::level(std::abs(stage::amplitudeAt(heard, 7945)));
    };
    EXPECT_NEAR(levelAt(true) - levelAt(false), -20 * 0.0766, 20 * 0.0766 * 0.01);
}

TEST(ChamberSound, FollowsTheTemperatureThatDrifts) {
    Plan plan = stage::plan();
    Scene scene = stage::breathing();
    scene.temperatureDriftCPerHour = 2;
    Chamber c(plan, scene);
    const AudioShot one = shot({stage::frontChannel}, stage::tone(400, 0.5));
    const auto before = stage::amplitudeAt(c.play(one).channels[0], 400);
    ASSERT_TRUE(c.clock.waitUntil(2 * 3600, {}));
    EXPECT_NEAR(c.chamber.airNow().temperatureC, 24, 1e-9);
    const auto after = stage::amplitudeAt(c.play(one).channels[0], 400);
    // The way from the surface, and the surface itself: arctan ka of a sphere that breathes.
    const auto phase = [](double celsius) {
        const double k = 2 * M_PI * 400 / (343.2 * std::sqrt((273.15 + celsius) / 293.15));
        return k * 1.85 + std::atan(k * 0.15);
    };
    // 2 °C/h began with the chamber; the first shot was 11 s later.
    EXPECT_NEAR(std::arg(after / before), phase(20) - phase(24), 2e-4);
}

}  // namespace
}  // namespace volvelle
