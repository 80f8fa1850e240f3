#include "Chamber/Noise.h"
#include "Chamber/SimulatedUnit.h"
#include "Families/CurveTable.h"
#include "Families/MakeFamily.h"
#include "Families/ToyUnit.h"
#include "Response/Pressures.h"
#include "Signal/Excitation.h"
#include "Signal/FrequencyGrid.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>

namespace volvelle {
namespace {

using toy::rate;

Recipe sweptRecipe(int perOctave = 6) {
    Recipe r;
    r.window = {-0.0025, 0.0015, 0.03, 0.08};
    r.lowWindowChoice = Recipe::LowWindow::none;
    r.perOctave = perOctave;
    r.lowHz = 100;
    r.highHz = 16000;
    return r;
}

std::vector<float> asFloats(const std::vector<double>& x) {
    return {x.begin(), x.end()};
}

// ---- distortion of a polynomial ----

constexpr std::size_t longRecording = 96000;
const ExponentialSweep longSweep = synchronisedSweep(40, 20000, 1.5);

RunRecord sweptRun(std::vector<Capture> captures) {
    return toy::runOf(
        {toy::recordingDrive("front", std::move(captures),
                             asFloats(sweepSamples(longSweep, rate, 0.02, 0.002)), longRecording, false)});
}

/// x + a2 x² + a3 x³ of the sweep at an amplitude, delayed by 3 ms, in noise.
toy::Samples polynomial(double amplitude, double a2, double a3, double noise, double gain = 1) {
    return [=](const DriveRecord& drive, const Capture& c, std::span<float> out) {
        Noise draw(mixedSeed(std::array<std::uint64_t, 2>{static_cast<std::uint64_t>(c.repeat),
                                                          static_cast<std::uint64_t>(c.angleDeg + 360)}));
        constexpr std::size_t delay = 144;
        for (std::size_t n = 0; n < out.size(); ++n) {
            const bool on = n >= delay && n - delay < drive.excitation.samples.size();
            const double x = on ? amplitude * double{drive.excitation.samples[n - delay]} : 0;
            out[n] = static_cast<float>(gain * (x + a2 * x * x + a3 * x * x * x) + noise * draw());
        }
    };
}

std::size_t nearest(const Family& family, double f) {
    return static_cast<std::size_t>(
        std::lower_bound(family.frequencyHz.begin(), family.frequencyHz.end(), f) -
        family.frequencyHz.begin());
}

// Trigonometry: h2/h1 = (a2 A²/2) / (A + 3 a3 A³/4), h3/h1 = (a3 A³/4) / (A + 3 a3 A³/4).
TEST(Distortion, OfAPolynomialHasTheRatiosOfTrigonometryAndIsBlankBeyondTheBand) {
    constexpr double A = 0.5, a2 = 0.08, a3 = 0.12, h1 = A + 0.75 * a3 * A * A * A;
    const toy::SealedToy run(sweptRun({toy::captureAt(Orbit::horizontal, 0)}), polynomial(A, a2, a3, 0));
    const Family family = makeFamily(*run, "front", sweptRecipe(), 1);
    const Distortion& d = family.distortion;
    ASSERT_TRUE(d.missing.empty()) << d.missing;
    ASSERT_EQ(d.orders, (std::vector<int>{2, 3, 4, 5}));
    const double second = a2 * A * A / 2 / h1, third = a3 * A * A * A / 4 / h1;
    for (const double f : {150.0, 300.0, 600.0, 1200.0, 3000.0}) {
        const std::size_t i = nearest(family, f);
        EXPECT_NEAR(d.ratio[0][i] / second, 1, 0.005) << f;
        EXPECT_NEAR(d.ratio[1][i] / third, 1, 0.005) << f;
        EXPECT_LT(d.ratio[2][i], 3e-4) << f;
        EXPECT_LT(d.ratio[3][i], 3e-4) << f;
        EXPECT_NEAR(d.total[i] / std::hypot(second, third), 1, 0.005) << f;
    }
    for (std::size_t order = 0; order < 4; ++order)
        for (std::size_t i = 0; i < family.frequencyHz.size(); ++i) {
            const double top = family.frequencyHz[i] * d.orders[order];
            if (top > 20000 * 1.03) {
                EXPECT_TRUE(std::isnan(d.ratio[order][i])) << top;
            }
            if (top < 20000 * 0.93) {
                EXPECT_TRUE(std::isfinite(d.ratio[order][i])) << top;
            }
        }
    // The fundamental itself: A + 3 a3 A³/4.
    EXPECT_NEAR(curveNamed(family, "on_axis").levelDb[nearest(family, 1000)],
                20 * std::log10(h1 * toy::scale / 20e-6), 0.01);
}

// White noise of deviation s in every sample is white in the impulse divided by the sweep's spectrum: the
// floor of order n at f is the noise at n f over the fundamental, both through windows of their own.
TEST(Distortion, OfNoiseAloneLiesAtItsFloor) {
    const toy::SealedToy run(sweptRun({toy::captureAt(Orbit::horizontal, 0)}), polynomial(0.5, 0, 0, 1e-3));
    const Family family = makeFamily(*run, "front", sweptRecipe(24), 1);
    const Distortion& d = family.distortion;
    for (std::size_t order = 0; order < 4; ++order) {
        double found = 0, floor = 0;
        int count = 0;
        for (std::size_t i = 0; i < family.frequencyHz.size(); ++i) {
            if (!std::isfinite(d.ratio[order][i]) || family.frequencyHz[i] < 300) continue;
            found += d.ratio[order][i] * d.ratio[order][i];
            floor += d.floor[order][i] * d.floor[order][i];
            ++count;
        }
        ASSERT_GT(count, 50);
        EXPECT_NEAR(10 * std::log10(found / floor), 0, 1.5) << d.orders[order];
        EXPECT_GT(floor, 0);
    }
}

TEST(Distortion, OfAVeryShortSweepIsStillMeasured) {
    const ExponentialSweep brief = synchronisedSweep(200, 20000, 0.08);
    const toy::SealedToy run(
        toy::runOf({toy::recordingDrive("front", {toy::captureAt(Orbit::horizontal, 0)},
                                        asFloats(sweepSamples(brief, rate, 0, 0)), 24000, false)}),
        polynomial(0.5, 0.1, 0, 0));
    const Family family = makeFamily(*run, "front", sweptRecipe(), 1);
    ASSERT_TRUE(family.distortion.missing.empty());
    EXPECT_NEAR(family.distortion.ratio[0][nearest(family, 3000)] / (0.1 * 0.5 / 2), 1, 0.05);
}

// The largest sample of the excitation times the volts of full scale.
TEST(Distortion, TellsTheLevelThatWasPlayed) {
    RunRecord record = sweptRun({toy::captureAt(Orbit::horizontal, 0)});
    for (float& sample : record.drives[0].excitation.samples) sample *= 0.5F;
    record.calibration.voltsPerFullScale = 10;
    const auto told = [&](DriveQuantity quantity) {
        record.plan.driveQuantity = quantity;
        const toy::SealedToy run(record, polynomial(1, 0.08, 0, 0));
        return makeFamily(*run, "front", sweptRecipe(), 1).distortion;
    };
    const Distortion volts = told(DriveQuantity::terminalVolts), digital = told(DriveQuantity::digitalFullScale);
    EXPECT_NEAR(volts.peakV, 5, 0.01);
    EXPECT_NEAR(volts.peakFullScale, 0.5, 0.001);
    EXPECT_EQ(volts.drivenAt.rfind("peak of the excitation 5", 0), 0U) << volts.drivenAt;
    EXPECT_TRUE(volts.drivenAt.ends_with(" V")) << volts.drivenAt;
    EXPECT_TRUE(std::isnan(digital.peakV));
    EXPECT_TRUE(digital.drivenAt.ends_with(" of full scale")) << digital.drivenAt;
}

// A hundred times the noise is 40 dB more of it in the fundamental.
TEST(Distortion, TellsWhereTheFundamentalItselfLiesInTheNoise) {
    const auto share = [](double noise) {
        const toy::SealedToy run(sweptRun({toy::captureAt(Orbit::horizontal, 0)}), polynomial(0.01, 0, 0, noise));
        const Family family = makeFamily(*run, "front", sweptRecipe(24), 1);
        return family.distortion.fundamentalFloor.at(nearest(family, 10000));
    };
    const double quiet = share(1e-5), loud = share(1e-3);
    EXPECT_LT(quiet, 0.01);
    EXPECT_NEAR(20 * std::log10(loud / quiet), 40, 3);
}

TEST(Distortion, OfImpulseResponsesIsNotKnown) {
    const Family family = toy::familyOf(toy::orbitRun(), toy::twoSources, toy::quickRecipe());
    EXPECT_FALSE(family.distortion.missing.empty());
    EXPECT_TRUE(family.distortion.ratio.empty());
}

// ---- noise ----

/// Mean departure of squared pressures from the truth, in dB, 200 Hz to 8 kHz.
double biasDb(const Family& family, double trueLevelDb) {
    double sum = 0;
    int count = 0;
    const auto& level = curveNamed(family, "listening_window").levelDb;
    for (std::size_t i = 0; i < level.size(); ++i)
        if (std::isfinite(level[i]) && family.frequencyHz[i] > 200 && family.frequencyHz[i] < 8000) {
            sum += std::pow(10, (level[i] - trueLevelDb) / 10);
            ++count;
        }
    return 10 * std::log10(sum / count);
}

TEST(NoiseSubtraction, TakesTheBiasOfNoiseOutOfAQuietCurve) {
    std::vector<Capture> captures;
    for (const auto& [angle, weight] : table::listeningWindow())
        captures.push_back(toy::captureAt(angle.first, angle.second));
    constexpr double amplitude = 0.01;
    const toy::SealedToy run(sweptRun(captures), polynomial(amplitude, 0, 0, 0.04));
    Recipe recipe = sweptRecipe(24);
    const double truth = 20 * std::log10(amplitude * toy::scale / 20e-6);
    const double before = biasDb(makeFamily(*run, "front", recipe, 2), truth);
    recipe.subtractNoise = true;
    const double after = biasDb(makeFamily(*run, "front", recipe, 2), truth);
    EXPECT_GT(before, 0.8);
    EXPECT_LT(std::abs(after), 0.35 * before);
}

// ---- a unit in the chamber ----

constexpr double speed = 343.2, density0 = 1.2041;
const RigidSphere sphere{0.1, speed, density0};
const std::vector<SimulatedSection> sections{{"front", {{0, 0}, 25}, 60, 70, 0.8, 0, 0, false},
                                             {"rear", {{180, 0}, 30}, 45, 110, 0.7, 0, 1.7e-4, true}};
constexpr std::size_t chamberLength = 40000;
const SimulatedChain chain{rate, toy::distance, toy::pascal, toy::volts, 0, 0, 6.1e-3, 1, 0};

const std::vector<double>& chamberSweep() {
    static const auto sweep = [] {
        auto x = sweepSamples(synchronisedSweep(40, 20000, 0.6), rate, 0.02, 0.002);
        for (double& v : x) v *= 0.5;
        return x;
    }();
    return sweep;
}

RunRecord chamberRun(const std::vector<Capture>& captures) {
    std::vector<DriveRecord> drives;
    for (const char* name : {"front", "rear", "front+rear"})
        drives.push_back(toy::recordingDrive(name, captures, asFloats(chamberSweep()), chamberLength, true));
    for (DriveRecord& drive : drives)
        for (Capture& c : drive.captures) c.quality.arrivalS = 0.0056;
    return toy::runOf(drives);
}

toy::Samples played(const SimulatedUnit& unit) {
    return [&unit](const DriveRecord& drive, const Capture& c, std::span<float> out) {
        const std::vector<std::size_t> playing = drive.name == "front"  ? std::vector<std::size_t>{0}
                                                 : drive.name == "rear" ? std::vector<std::size_t>{1}
                                                                        : std::vector<std::size_t>{0, 1};
        const auto recording = unit.record(playing, c.direction, 1, 1e-6 * c.angleDeg);
        std::copy(recording.microphone.begin(), recording.microphone.end(), out.begin());
        std::copy(recording.loopback.begin(), recording.loopback.end(), out.begin() + chamberLength);
    };
}

/// In Pa at 1 m for 2.83 V, assembled from the series and second-order filters.
std::complex<double> exact(const SimulatedSection& s, const Direction& where, double f) {
    const std::complex<double> jw(0, 2 * M_PI * f);
    const double w0 = 2 * M_PI * s.resonanceHz;
    const auto acceleration = s.accelerationPerVolt * (s.reversed ? -1.0 : 1.0) * jw * jw /
                              (jw * jw + jw * w0 / s.quality + w0 * w0);
    return acceleration / jw * std::exp(-jw * s.delayS) *
           SphereField(sphere, {f}, toy::distance).pressure(s.cap, where)[0] * 2.83 * toy::distance;
}

TEST(Superposition, OfSectionsMeasuredApartIsTheUnitThatPlaysBoth) {
    const SimulatedUnit unit(sphere, sections, chain, chamberSweep(), chamberLength);
    const toy::SealedToy run(
        chamberRun({toy::captureAt(Orbit::horizontal, 0), toy::captureAt(Orbit::horizontal, 90),
                    toy::captureAt(Orbit::horizontal, 180), toy::captureAt(Orbit::vertical, 50)}),
        played(unit));
    const auto resolved = resolveRecipe(run->record(), sweptRecipe());
    const auto hz = logarithmicGrid(100, 16000, 6);
    std::vector<std::vector<std::complex<double>>> p(3, std::vector<std::complex<double>>(hz.size()));
    for (std::size_t position = 0; position < 4; ++position) {
        for (std::size_t drive = 0; drive < 3; ++drive) {
            const auto pressures = pressuresOf(*run, drive, resolved, hz);
            pressures->prepare(1);
            pressures->at(position, 0, p[drive]);
        }
        for (std::size_t i = 0; i < hz.size(); ++i)
            EXPECT_LT(std::abs(p[0][i] + p[1][i] - p[2][i]), 2e-5 * (std::abs(p[0][i]) + std::abs(p[1][i])))
                << hz[i];
    }
}

TEST(ChamberFamily, AgreesWithTheExactFieldOfTheSphereInTheSameDirections) {
    const SimulatedUnit unit(sphere, sections, chain, chamberSweep(), chamberLength);
    RunRecord record = chamberRun(toy::twoOrbits(10));
    record.drives.erase(record.drives.begin(), record.drives.begin() + 2);
    const toy::SealedToy run(record, played(unit));
    const Family family = makeFamily(*run, "front+rear", sweptRecipe(3), 2);
    for (const std::size_t i : {1U, 5U, 10U, 15U, 19U}) {
        std::map<table::Angle, double> power;
        for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
            for (int t = -170; t <= 180; t += 10) {
                const Direction d = directionOn(orbit, t);
                power[{orbit, t}] = std::norm(exact(sections[0], d, family.frequencyHz[i]) +
                                              exact(sections[1], d, family.frequencyHz[i]));
            }
        for (const auto& [key, weights] : table::curves(true)) {
            double mean = 0;
            for (const auto& [angle, weight] : weights) mean += weight * power.at(angle);
            EXPECT_NEAR(curveNamed(family, key).levelDb[i], toy::levelDb(mean), 0.02)
                << key << " at " << family.frequencyHz[i];
        }
    }
}

}  // namespace
}  // namespace volvelle
