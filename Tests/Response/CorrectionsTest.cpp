#include "Response/Corrections.h"
#include "Response/ToyRun.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <cmath>

namespace volvelle {
namespace {

const std::vector<double> frequencies{50, 1000, 12345};

/// What a spectrum of ones becomes.
std::vector<std::complex<double>> corrected(
    const RunRecord& run, const Recipe& recipe = {},
    const std::function<std::complex<double>(double)>& shape = [](double) { return 1.0; }) {
    const Corrections corrections(run, run.drives[0], recipe, frequencies, shape);
    std::vector<std::complex<double>> p(frequencies.size(), 1.0);
    corrections.apply(run.drives[0].captures[0], p);
    return p;
}

RunRecord plainRun() {
    return toy::runOf({toy::impulseDrive("front", {toy::captureAt(Orbit::horizontal, 0)})});
}

void expectAll(const std::vector<std::complex<double>>& p, double expected) {
    for (const auto& value : p) EXPECT_NEAR(std::abs(value - expected), 0, 1e-12 * std::abs(expected));
}

TEST(Calibration, IsPascalOverVoltsTimes283VoltsTimesDistance) {
    RunRecord run = plainRun();
    expectAll(corrected(run), 5.0 / 2.0 * 2.83 * 2.0);
    run.calibration.pascalPerFullScale *= 3;
    run.calibration.voltsPerFullScale *= 7;
    run.drives[0].captures[0].distanceM = 1.37;
    expectAll(corrected(run), 5.0 * 3 / (2.0 * 7) * 2.83 * 1.37);
}

// Free field: -6.02 dB for each doubling of distance (handbook); levels at 1 m do not change then.
TEST(Calibration, OfASourceHeardAtTwiceTheDistanceIsTheSameAtOneMetre) {
    RunRecord near = plainRun(), far = plainRun();
    far.drives[0].captures[0].distanceM = 2 * near.drives[0].captures[0].distanceM;
    const double ratioDb = 20 * std::log10(std::abs(corrected(far)[0] / corrected(near)[0]));
    EXPECT_NEAR(ratioDb, 6.0206, 1e-4);
}

TEST(Calibration, TakesTheLoopbacksVoltsWhereThereIsALoopback) {
    RunRecord run = plainRun();
    run.calibration.loopbackVoltsPerFullScale = 4;
    expectAll(corrected(run), toy::scale);  // stated, but not recorded
    run.drives[0].channelRoles.push_back("loopback");
    expectAll(corrected(run), toy::scale * 2.0 / 4.0);
    run.calibration.loopbackVoltsPerFullScale = notStated;
    expectAll(corrected(run), toy::scale);
}

TEST(ReferenceInput, Is283VoltsAtTheNamedSectionsTerminalsOrOneOfWhatIsStated) {
    RunRecord run = plainRun();
    const auto input = [&] { return referenceInput(run, run.drives[0]); };
    EXPECT_EQ(input().value, 2.83);
    EXPECT_EQ(input().statement, "2.83 V at the terminals of front");
    run.plan.drives.push_back({"front", {"woofer", "tweeter"}, 0, "woofer"});
    EXPECT_EQ(input().statement, "2.83 V at the terminals of woofer");
    run.drives[0].name = "tweeter+woofer";  // the plan's drive, called by its sections
    EXPECT_EQ(input().statement, "2.83 V at the terminals of woofer");
    run.plan.driveQuantity = DriveQuantity::inputVolts;
    EXPECT_EQ(input().value, 1);
    expectAll(corrected(run), toy::scale / 2.83);
    run.plan.driveQuantity = DriveQuantity::digitalFullScale;
    EXPECT_EQ(input().value, 1);
}

TEST(ShapingFilter, IsDividedOutAndWhatItRemovedStaysNothing) {
    const auto p = corrected(plainRun(), {}, [](double f) {
        return f > 10000 ? std::complex<double>(0) : std::complex<double>(0, 0.5);
    });
    EXPECT_NEAR(std::abs(p[0] - std::complex<double>(0, -2 * toy::scale)), 0, 1e-9);
    EXPECT_EQ(p[2], 0.0);
}

TEST(MicrophoneResponse, IsInterpolatedOverLogarithmicFrequencyAndHeldBeyondItsEnds) {
    MicrophoneResponse m;
    m.frequencyHz = {100, 1000, 10000};
    m.levelDb = {-1, 0, 3};
    m.phaseDeg = {10, 0, -30};
    const auto check = [&](double f, double db, double deg) {
        const auto factor = microphoneFactor(m, f);
        EXPECT_NEAR(20 * std::log10(std::abs(factor)), db, 1e-9) << f;
        EXPECT_NEAR(std::arg(factor) * 180 / M_PI, deg, 1e-9) << f;
    };
    check(20, -1, 10);
    check(100, -1, 10);
    check(std::sqrt(100.0 * 1000.0), -0.5, 5);
    check(1000, 0, 0);
    check(1000 * std::pow(10, 0.25), 0.75, -7.5);
    check(10000, 3, -30);
    check(20000, 3, -30);
    m.phaseDeg = {170, -170, -150};  // 20° on, through 180°
    check(std::sqrt(100.0 * 1000.0) * 0.999, -0.5 + std::log10(0.999), 180 + 20 * std::log10(0.999));
    m.phaseDeg.clear();
    check(std::sqrt(100.0 * 1000.0), -0.5, 0);
}

TEST(MicrophoneResponse, IsDividedOutUnlessTheRecipeLeavesItIn) {
    RunRecord run = plainRun();
    run.calibration.microphone = {{100, 20000}, {6.0, 6.0}, {90, 90}, "m.csv"};
    const auto p = corrected(run);
    EXPECT_NEAR(std::abs(p[1]), toy::scale * std::pow(10, -0.3), 1e-9);
    EXPECT_NEAR(std::arg(p[1]) * 180 / M_PI, -90, 1e-9);
    Recipe raw;
    raw.microphoneCorrection = false;
    expectAll(corrected(run, raw), toy::scale);
    const auto shape = [](double) { return 1.0; };
    EXPECT_FALSE(
        Corrections(run, run.drives[0], {}, frequencies, shape).notes().empty());  // 50 Hz is outside
    EXPECT_TRUE(Corrections(run, run.drives[0], raw, frequencies, shape).notes().empty());
}

// ISO 9613-2:1996 Table 2: 8 kHz at 20 °C, 70 %: 76.6 dB/km; here over 100 m, for a figure that can be read.
TEST(AirCorrection, GivesBackWhatTheTableOfIso9613SaysIsAbsorbed) {
    RunRecord run = plainRun();
    run.air = {20, 70, 101.325};
    run.drives[0].captures[0].distanceM = 100;
    Recipe lossless;
    lossless.air = Recipe::AirCorrection::lossless;
    const Corrections with(run, run.drives[0], lossless, std::vector<double>{7943.28},
                           [](double) { return 1.0; });
    std::vector<std::complex<double>> p{1.0};
    with.apply(run.drives[0].captures[0], p);
    EXPECT_NEAR(20 * std::log10(std::abs(p[0]) / (toy::scale / toy::distance * 100)), 7.66, 0.02);
}

TEST(AirCorrection, PrefersTheCapturesOwnAirAndRefersToTheReferenceClimate) {
    RunRecord run = plainRun();
    run.air = {20, 70, 101.325};
    run.drives[0].captures[0].air = {10, 30, 100};
    Recipe recipe;
    recipe.air = Recipe::AirCorrection::referenceClimate;
    const auto p = corrected(run, recipe);
    for (std::size_t i = 0; i < frequencies.size(); ++i) {
        const double db = toy::distance * (absorptionDbPerM({10, 30, 100}, frequencies[i]) -
                                           absorptionDbPerM({23, 50, 101.325}, frequencies[i]));
        EXPECT_NEAR(20 * std::log10(std::abs(p[i]) / toy::scale), db, 1e-9);
    }
    run.drives[0].captures[0].air = {23, 50, 101.325};
    expectAll(corrected(run, recipe), toy::scale);  // in the reference climate nothing is corrected
}

TEST(AirCorrection, OfARunThatDoesNotStateItsAirIsRefused) {
    Recipe lossless;
    lossless.air = Recipe::AirCorrection::lossless;
    EXPECT_THROW(corrected(plainRun(), lossless), Error);
}

}  // namespace
}  // namespace volvelle
