#include "Response/ImpulseMeter.h"
#include "Response/KeptImpulses.h"
#include "Response/Pressures.h"
#include "Response/ResolvedRecipe.h"
#include "Response/ToyRun.h"
#include "Response/WindowedPressures.h"
#include "Signal/Excitation.h"
#include "Signal/FrequencyGrid.h"
#include "Support/PlayedSweep.h"
#include "Text/Error.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>
#include <string>

namespace volvelle {
namespace {

using toy::rate;

/// Window of all tests here, relative to the arrival at 3 ms.
Recipe shortWindow() {
    Recipe r;
    r.window = {-0.002, 0.001, 0.006, 0.020};
    r.lowWindowChoice = Recipe::LowWindow::none;
    return r;
}

double shortWindowAt(double t) {
    const double s = t - toy::earliestArrivalS;
    if (s < -0.002 || s > 0.020) return 0;
    if (s < -0.001) return std::pow(std::sin(M_PI / 2 * (s + 0.002) / 0.001), 2);
    if (s > 0.014) return std::pow(std::sin(M_PI / 2 * (0.020 - s) / 0.006), 2);
    return 1;
}

/// A decaying tone that depends on angle and repeat.
float toyImpulse(const Capture& c, std::size_t n) {
    const double t = static_cast<double>(n) / rate - toy::earliestArrivalS;
    if (t < 0) return 0;
    const double hz = 500 + 7 * c.angleDeg, gain = 0.1 * c.repeat;
    return static_cast<float>(gain * std::exp(-t / 0.002) * std::cos(2 * M_PI * hz * t));
}

void fillImpulse(const DriveRecord&, const Capture& c, std::span<float> out) {
    for (std::size_t n = 0; n < out.size(); ++n) out[n] = toyImpulse(c, n);
}

/// Windowed, summed term by term, and scaled to Pa at 1 m for 2.83 V.
std::complex<double> plainPressure(const Capture& c, double f) {
    std::complex<double> sum = 0;
    for (std::size_t n = 0; n < 1536; ++n) {
        const double t = static_cast<double>(n) / rate;
        sum +=
            double{toyImpulse(c, n)} * shortWindowAt(t) * std::polar(1.0, -2 * M_PI * std::fmod(f * t, 1.0));
    }
    return sum * toy::scale;
}

std::vector<Capture> fewCaptures() {
    std::vector<Capture> captures;
    for (const double a : {0.0, 30.0, -60.0})
        for (const int repeat : {1, 2}) {
            captures.push_back(toy::captureAt(Orbit::horizontal, a));
            captures.back().repeat = repeat;
            captures.back().id += "/" + std::string(repeat == 1 ? "1" : "2");
        }
    return captures;
}

const std::vector<double> grid = logarithmicGrid(50, 20000, 3);

TEST(WindowedPressures, OfImpulseResponsesAreThePlainComputation) {
    const toy::SealedToy run(toy::runOf({toy::impulseDrive("front", fewCaptures())}), fillImpulse);
    for (const auto repeats : {Recipe::Repeats::first, Recipe::Repeats::complexMean}) {
        Recipe recipe = shortWindow();
        recipe.repeats = repeats;
        const auto pressures = pressuresOf(*run, 0, resolveRecipe(run->record(), recipe), grid);
        ASSERT_EQ(pressures->positions().size(), 3u);
        EXPECT_EQ(pressures->frequencyHz(), grid);
        pressures->prepare(2);
        std::vector<std::complex<double>> p(grid.size());
        for (std::size_t position = 0; position < 3; ++position) {
            pressures->at(position, static_cast<int>(position % 2), p);
            const Capture& c = run->record().drives[0].captures[2 * position];
            double loudest = 0;
            for (const double f : grid) loudest = std::max(loudest, std::abs(plainPressure(c, f)));
            for (std::size_t i = 0; i < grid.size(); ++i) {
                // The second repeat is twice the first: their mean is one and a half times.
                const auto expected =
                    plainPressure(c, grid[i]) * (repeats == Recipe::Repeats::first ? 1.0 : 1.5);
                EXPECT_LT(std::abs(p[i] - expected), 3e-7 * loudest) << grid[i];
            }
        }
    }
}

TEST(KeptPressures, AreTheSameBitsAsThoseStraightFromTheRun) {
    const toy::SealedToy run(toy::runOf({toy::impulseDrive("front", fewCaptures())}), fillImpulse);
    Recipe recipe = shortWindow();
    recipe.repeats = Recipe::Repeats::complexMean;
    const ResolvedRecipe resolved = resolveRecipe(run->record(), recipe);
    WindowedPressures straight(*run, 0, resolved, grid);
    for (const int jobs : {1, 3}) {
        const KeptImpulses kept(*run, 0, jobs);
        KeptPressures cached(kept, resolved, std::make_shared<SharedWindows>(resolved, grid, rate), grid);
        straight.prepare(1);
        cached.prepare(1);
        ASSERT_EQ(cached.positions().size(), straight.positions().size());
        std::vector<std::complex<double>> a(grid.size()), b(grid.size());
        for (std::size_t p = 0; p < straight.positions().size(); ++p) {
            straight.at(p, 0, a);
            cached.at(p, 0, b);
            EXPECT_EQ(a, b);
        }
        std::vector<double> noise(grid.size());
        EXPECT_THROW(cached.noisePower(0, 0, noise), Error);
    }
}

TEST(KeptPressures, RefuseAWindowThatReachesBeyondWhatIsKept) {
    const toy::SealedToy run(toy::runOf({toy::impulseDrive("front", fewCaptures())}), fillImpulse);
    const KeptImpulses kept(*run, 0, 1);
    ResolvedRecipe resolved = resolveRecipe(run->record(), shortWindow());
    resolved.window.endS = 0.1;
    const auto windows = std::make_shared<SharedWindows>(resolved, grid, rate);
    EXPECT_THROW(KeptPressures(kept, resolved, windows, grid), Error);
}

// ---- recordings ----

const PlayedSweep played{synchronisedSweep(60, 20000, 0.4), 0.01, 0.001, 0.5};
const ExponentialSweep& sweep = played.sweep;

constexpr std::size_t recordedLength = 30000;
constexpr double loopbackGain = 0.4;

/// A direct sound and a reflection, heard after a converter's latency that differs from capture to capture.
void fillRecording(const DriveRecord& drive, const Capture& c, std::span<float> out) {
    const double latency = 0.0123 + 1.3e-5 * c.angleDeg;
    for (std::size_t n = 0; n < recordedLength; ++n) {
        const double t = static_cast<double>(n) / rate - (drive.channelRoles.size() > 1 ? latency : 0);
        out[n] = static_cast<float>(0.2 * played.at(t - 0.0030171) - 0.05 * played.at(t - 0.0041));
        if (drive.channelRoles.size() > 1)
            out[recordedLength + n] = static_cast<float>(loopbackGain * played.at(t));
    }
}

std::complex<double> recordedPressure(double f) {
    return 0.2 * std::polar(1.0, -2 * M_PI * f * 0.0030171) - 0.05 * std::polar(1.0, -2 * M_PI * f * 0.0041);
}

RunRecord recordedRun(bool loopback) {
    std::vector<Capture> captures;
    for (const double a : {0.0, 50.0}) captures.push_back(toy::captureAt(Orbit::horizontal, a));
    RunRecord run =
        toy::runOf({toy::recordingDrive("front", captures, played.samples(rate), recordedLength, loopback)});
    run.calibration.loopbackVoltsPerFullScale = toy::volts / loopbackGain;
    return run;
}

/// The band limit rings for some hundredths of a second, so the window is long.
Recipe longWindow() {
    Recipe r;
    r.window = {-0.0028, 0.001, 0.02, 0.09};
    r.lowWindowChoice = Recipe::LowWindow::none;
    return r;
}

TEST(WindowedPressures, OfRecordingsAreTheSystemWithAndWithoutLoopback) {
    for (const bool loopback : {false, true}) {
        const toy::SealedToy run(recordedRun(loopback), fillRecording);
        const auto hz = logarithmicGrid(100, 16000, 6);
        const auto pressures = pressuresOf(*run, 0, resolveRecipe(run->record(), longWindow()), hz);
        pressures->prepare(1);
        std::vector<std::complex<double>> p(hz.size());
        for (const std::size_t position : {0U, 1U}) {
            pressures->at(position, 0, p);
            for (std::size_t i = 0; i < hz.size(); ++i) {
                const auto ratio = p[i] / (recordedPressure(hz[i]) * toy::scale);
                EXPECT_NEAR(20 * std::log10(std::abs(ratio)), 0, 0.01) << hz[i];
                EXPECT_NEAR(std::arg(ratio) * 180 / M_PI, 0, 0.1) << hz[i];
            }
        }
    }
}

TEST(ImpulseSource, KnowsLengthBandAndShape) {
    const toy::SealedToy recorded(recordedRun(true), fillRecording);
    const ImpulseSource source(*recorded, 0);
    EXPECT_GE(source.length(), recordedLength);
    ASSERT_NE(source.deconvolution(), nullptr);
    EXPECT_NEAR(source.band().lowHz, 60, 0.6);
    EXPECT_NEAR(source.band().highHz, 20000, 200);
    EXPECT_EQ(source.shape(1000), source.deconvolution()->shape().at(1000));
    const toy::SealedToy impulses(toy::runOf({toy::impulseDrive("front", fewCaptures())}), fillImpulse);
    const ImpulseSource plain(*impulses, 0);
    EXPECT_EQ(plain.length(), 2u * 1536u);
    EXPECT_EQ(plain.deconvolution(), nullptr);
    EXPECT_EQ(plain.shape(1000), 1.0);
    EXPECT_EQ(plain.band().highHz, rate / 2);
    ImpulseSource::Workspace w(plain);
    const auto h = plain.impulse(3, w);
    const Capture& c = impulses->record().drives[0].captures[3];
    for (std::size_t n = 0; n < h.size(); ++n) ASSERT_EQ(h[n], n < 1536 ? toyImpulse(c, n) : 0) << n;
}

TEST(QuietStretch, LiesClearOfTheWindowAndOfSixHarmonics) {
    const toy::SealedToy run(recordedRun(false), fillRecording);
    const ImpulseSource source(*run, 0);
    const Stretch wanted{10, 2000};
    const auto quiet = quietStretch(source, wanted);
    ASSERT_TRUE(quiet);
    EXPECT_EQ(quiet->length, wanted.length);
    const auto length = static_cast<std::ptrdiff_t>(source.length());
    const auto overlaps = [&](std::ptrdiff_t first, std::ptrdiff_t end) {
        for (const std::ptrdiff_t turn : {-length, std::ptrdiff_t{0}, length})
            if (quiet->first < end + turn &&
                first + turn < quiet->first + static_cast<std::ptrdiff_t>(quiet->length))
                return true;
        return false;
    };
    EXPECT_FALSE(overlaps(10, 2010));
    for (int n = 1; n <= 6; ++n) {
        const auto at = static_cast<std::ptrdiff_t>((toy::earliestArrivalS - sweep.leadS(n)) * rate);
        EXPECT_FALSE(overlaps(at - 20, at + 200)) << n;
    }
    EXPECT_FALSE(quietStretch(source, {10, source.length()}));  // no room
}

TEST(QuietStretch, OfImpulseResponsesIsTheirEnd) {
    const toy::SealedToy run(toy::runOf({toy::impulseDrive("front", fewCaptures())}), fillImpulse);
    const ImpulseSource source(*run, 0);
    const auto quiet = quietStretch(source, {0, 500});
    ASSERT_TRUE(quiet);
    EXPECT_EQ(quiet->first, 1536 - 500);
    EXPECT_FALSE(quietStretch(source, {0, 1000}));
}

// ---- text responses ----

RunRecord textRun(bool twice) {
    DriveRecord d = toy::impulseDrive("front", {toy::captureAt(Orbit::horizontal, 0)}, 3);
    d.form = CaptureForm::textResponse;
    d.sampleRateHz = notStated;
    d.channelRoles.clear();
    d.frequencyHz = {100, 1000, 10000};
    if (twice) {
        d.captures.push_back(d.captures[0]);
        d.captures[1].repeat = 2;
        d.captures[1].id += "/2";
    }
    return toy::runOf({d});
}

TEST(TextPressures, AreTheirLevelsAndPhasesScaledByVoltsAndDistance) {
    const toy::SealedToy run(textRun(false), [](const DriveRecord&, const Capture&, std::span<float> out) {
        const float values[] = {60, 80, 74, 0, 90, -120};
        std::copy(std::begin(values), std::end(values), out.begin());
    });
    const auto pressures = pressuresOf(*run, 0, resolveRecipe(run->record(), {}));
    EXPECT_EQ(pressures->frequencyHz(), (std::vector<double>{100, 1000, 10000}));
    pressures->prepare(1);
    std::vector<std::complex<double>> p(3);
    pressures->at(0, 0, p);
    EXPECT_TRUE(pressures->hasPhase(0));
    const double expectedDb[] = {60, 80, 74}, expectedDeg[] = {0, 90, -120};
    for (std::size_t i = 0; i < 3; ++i) {
        // Taken at 2 V and 2 m: at 1 m 6.02 dB louder, for 2.83 V 20 lg(2.83/2).
        const double up = 20 * std::log10(2.0) + 20 * std::log10(2.83 / 2);
        EXPECT_NEAR(20 * std::log10(std::abs(p[i]) / 20e-6), expectedDb[i] + up, 1e-6);
        EXPECT_NEAR(std::arg(p[i]) * 180 / M_PI, expectedDeg[i], 1e-5);
    }
    std::vector<double> noise(3);
    EXPECT_THROW(pressures->noisePower(0, 0, noise), Error);
}

TEST(TextPressures, WithoutPhaseSaySo) {
    const toy::SealedToy run(textRun(false), [](const DriveRecord&, const Capture&, std::span<float> out) {
        for (std::size_t i = 0; i < 3; ++i) out[i] = 60, out[3 + i] = NAN;
    });
    const auto pressures = pressuresOf(*run, 0, resolveRecipe(run->record(), {}));
    pressures->prepare(1);
    std::vector<std::complex<double>> p(3);
    pressures->at(0, 0, p);
    EXPECT_FALSE(pressures->hasPhase(0));
    EXPECT_NEAR(std::arg(p[1]), 0, 1e-12);
}

TEST(GridOfARecipe, HasNothingAboveHalfTheSampleRate) {
    Recipe r;
    r.grid = Recipe::Grid::bandCentres;
    r.highHz = rate / 2;
    for (const int perOctave : {1, 3, 24, 96, 192}) {
        r.perOctave = perOctave;
        EXPECT_LE(gridOf(r, rate).back(), rate / 2);
    }
    r.grid = Recipe::Grid::logarithmic;
    r.lowHz = 12000.0000000001;  // one octave but for rounding
    EXPECT_EQ(gridOf(r, rate).back(), rate / 2);
}

TEST(GridOfARecipe, WithoutAnyBandCentreIsRefused) {
    Recipe r;
    r.grid = Recipe::Grid::bandCentres;
    r.perOctave = 1;
    r.lowHz = 1200;
    r.highHz = 1300;
    EXPECT_THROW(gridOf(r, rate), Error);
}

}  // namespace
}  // namespace volvelle
