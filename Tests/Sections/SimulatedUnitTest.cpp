#include "Chamber/SimulatedUnit.h"
#include "Quantities/Air.h"
#include "Response/ToyRun.h"
#include "Sections/Interaction.h"
#include "Signal/Excitation.h"
#include "Sphere/AngleSet.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

namespace volvelle {
namespace {

// Recordings of two caps on a rigid sphere by their exact field (Acoustics), in which superposition is exact:
// what is left of whole less sum is noise, the converter's steps, and rounding.

constexpr std::size_t silence = 7200;  // ahead of the sweep, where the noise is judged

std::vector<double> playedSweep() {
    std::vector<double> samples(silence, 0.0);
    for (const double v : sweepSamples(synchronisedSweep(50, 20000, 0.4), toy::rate, 0.01, 0.005))
        samples.push_back(0.5 * v);
    return samples;
}

SimulatedUnit frontAndRear(const std::vector<double>& played, std::size_t length, double noisePa) {
    const Air air{20, 50, 101.325};
    SimulatedChain chain{};
    chain.sampleRateHz = toy::rate;
    chain.distanceM = toy::distance;
    chain.pascalPerFullScale = toy::pascal;
    chain.voltsPerFullScale = toy::volts;
    chain.noisePa = noisePa;
    chain.latencyS = 0.002;
    chain.loopbackGain = 0.5;
    return {{0.15, speedOfSound(air), density(air)},
            {{"front", {{0, 0}, 24}, 60, 90, 0.75, 18000, 0, false},
             {"rear", {{180, 0}, 18}, 78, 110, 0.9, 15000, 0.0002, false}},
            chain,
            played,
            length};
}

std::vector<std::size_t> playing(const std::string& drive) {
    return drive == "front"  ? std::vector<std::size_t>{0}
           : drive == "rear" ? std::vector<std::size_t>{1}
                             : std::vector<std::size_t>{0, 1};
}

/// Whole less sum of that unit at twelve angles of the horizontal orbit.
Interaction measured(double noisePa) {
    const std::vector<double> played = playedSweep();
    const std::size_t length = played.size() + 9600;
    const SimulatedUnit unit = frontAndRear(played, length, noisePa);
    std::vector<Capture> captures;
    for (const double angle : orbitAngles(30)) captures.push_back(toy::captureAt(Orbit::horizontal, angle));
    for (Capture& c : captures) c.quality.arrivalS = 0.0055;
    const std::vector<float> excitation(played.begin(), played.end());
    RunRecord record = toy::runOf({});
    record.timeZero = TimeZero::loopback;
    record.calibration.loopbackVoltsPerFullScale = toy::volts / 0.5;
    for (const char* name : {"front", "rear", "front+rear"})
        record.drives.push_back(toy::recordingDrive(name, captures, excitation, length, true));
    std::uint64_t seed = 20261125;
    const toy::SealedToy run(record, [&](const DriveRecord& drive, const Capture& c, std::span<float> out) {
        ++seed;
        const double jitterS = static_cast<double>(seed % 7) * 3e-6;  // the loopback takes it out
        const auto heard = unit.record(playing(drive.name), c.direction, seed, jitterS);
        std::copy(heard.microphone.begin(), heard.microphone.end(), out.begin());
        std::copy(heard.loopback.begin(), heard.loopback.end(),
                  out.begin() + static_cast<std::ptrdiff_t>(length));
    });
    Recipe recipe;
    recipe.window = {-0.0025, 0.0015, 0.02, 0.06};
    recipe.lowWindowChoice = Recipe::LowWindow::none;
    recipe.lowHz = 100;
    recipe.highHz = 16000;
    recipe.perOctave = 24;
    const HeldSections held = holdSections(*run, drivePartsOf(run->record(), "", "toy.h5"), recipe, 2);
    return interactionOf(held, std::vector<SectionSetting>(2));
}

TEST(SimulatedUnit, PartsSumUpToTheWholeWithinTheFloorOfTheirNoise) {
    const Interaction i = measured(20e-6 * std::pow(10, 18.0 / 20));  // 18 dB SPL
    ASSERT_EQ(i.positions.size(), 12u);
    for (const BandDifference& band : differencePerOctave(i)) {
        // Means of 12 directions times 24 frequencies that a window of 60 ms makes more or less independent:
        // chance leaves 4.3 dB / sqrt(288) = 0.26 dB, and the floor has as much of its own. 1.1 dB is three
        // times both.
        EXPECT_NEAR(band.rmsDb, band.floorRmsDb, 1.1) << band.lowHz;
        EXPECT_LT(band.floorRmsDb, -40) << band.lowHz;
    }
}

TEST(SimulatedUnit, PartsSumUpToTheWholeWithoutNoiseToTheRoundingOfTheTransforms) {
    for (const BandDifference& band : differencePerOctave(measured(0)))
        EXPECT_LT(band.largestDb, -95) << band.lowHz << " Hz at " << band.position;
}

}  // namespace
}  // namespace volvelle
