#include "Command/DemoRecordings.h"

#include "Chamber/Noise.h"
#include "Chamber/SimulatedUnit.h"
#include "Export/SoundFile.h"
#include "Quantities/Air.h"
#include "Quantities/ReferencePressure.h"
#include "Signal/Excitation.h"
#include "Signal/ParallelFor.h"
#include "Sphere/AngleSet.h"
#include "Text/TextFile.h"

#include <fmt/core.h>

#include <array>
#include <cmath>
#include <vector>

namespace volvelle {

namespace {

constexpr double sampleRateHz = 48000, distanceM = 2, pascalPerFullScale = 20, voltsPerFullScale = 2.83;
constexpr double silenceS = 0.15, tailS = 0.35, sweepS = 1.0;
constexpr std::uint64_t demoSeed = 20;
const Air air{20, 50, 101.325};

struct DemoDrive {
    const char* name;
    std::vector<std::size_t> sections;
};

const std::vector<DemoDrive>& drives() {
    static const std::vector<DemoDrive> all{{"front", {0}}, {"rear", {1}}, {"front+rear", {0, 1}}};
    return all;
}

std::vector<SimulatedSection> sections() {
    return {{"front", {{0, 0}, 24}, 60, 62, 0.75, 18000, 0, false},
            {"rear", {{180, 0}, 18}, 78, 95, 0.9, 15000, 0.0002, false}};
}

// clang-format off
constexpr const char* planText = R"json(// An invented unit measured by an invented laboratory.
{
  "unit": {
    "model": "Wren (invented)",
    "serial": "0001",
    "state": "passive",
    "size_m": 0.3,
    "drive_quantity": "terminal-volts",
    "sections": [
      { "name": "front", "output_channels": [1], "polarity": "normal", "band_hz": [20, 20000], "voltage_limit_v": 10 },
      { "name": "rear", "output_channels": [2], "polarity": "normal", "band_hz": [20, 20000], "voltage_limit_v": 10 }
    ]
  },
  "drives": [
    { "sections": ["front"], "axis_deg": 0 },
    { "sections": ["rear"], "axis_deg": 180 },
    { "sections": ["front", "rear"], "axis_deg": 0, "reference_section": "front" }
  ],
  "chamber": { "name": "Simulated, without reflections", "place": "invented", "lowest_usable_hz": 20 },
  "calibration": { "id": "demo", "pascal_per_full_scale": 20, "volts_per_full_scale": 2.83,
                   "loopback_volts_per_full_scale": 5.66 },
  "air": { "temperature_c": 20, "relative_humidity_percent": 50, "pressure_kpa": 101.325 },
  "distance_m": 2
}
)json";
// clang-format on

struct Shot {
    std::size_t drive;
    Orbit orbit;
    double angleDeg;
    std::string file;
};

std::vector<Shot> shots() {
    std::vector<Shot> all;
    for (std::size_t d = 0; d < drives().size(); ++d)
        for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
            for (const double angle : orbitAngles(10))
                all.push_back({d, orbit, angle,
                               fmt::format("{}-{}{:+04d}.wav", drives()[d].name, orbitName(orbit).front(),
                                           static_cast<int>(angle))});
    return all;
}

std::string manifestOf(const std::vector<Shot>& all) {
    std::string text = "file,drive,orbit,angle_deg\n";
    for (const Shot& shot : all)
        text += fmt::format("{},{},{},{}\n", shot.file, drives()[shot.drive].name, orbitName(shot.orbit),
                            static_cast<int>(shot.angleDeg));
    return text;
}

std::vector<double> excitation() {
    const auto sweep = sweepSamples(synchronisedSweep(20, 21000, sweepS), sampleRateHz, 0, 0.002);
    std::vector<double> samples(static_cast<std::size_t>(silenceS * sampleRateHz), 0.0);
    for (const double v : sweep) samples.push_back(0.5 * v);
    return samples;
}

SimulatedChain chain() {
    SimulatedChain c{};
    c.sampleRateHz = sampleRateHz;
    c.distanceM = distanceM;
    c.pascalPerFullScale = pascalPerFullScale;
    c.voltsPerFullScale = voltsPerFullScale;
    c.noisePa = referencePressurePa * std::pow(10, 18.0 / 20);  // 18 dB SPL
    c.secondHarmonic = 0.002;
    c.latencyS = 0.00123;
    c.loopbackGain = 0.5;
    c.loopbackNoise = 1e-6;
    return c;
}

}  // namespace

void makeDemoRecordings(const std::string& folder, int jobs) {
    const std::vector<double> played = excitation();
    const std::size_t length = played.size() + static_cast<std::size_t>(tailS * sampleRateHz);
    const SimulatedUnit unit({0.15, speedOfSound(air), density(air)}, sections(), chain(), played, length);
    const std::array<std::span<const double>, 1> mono{played};
    writeWav24(folder + "/sweep.wav", mono, static_cast<int>(sampleRateHz));
    const std::vector<Shot> all = shots();
    writeNewTextFile(folder + "/manifest.csv", manifestOf(all));
    writeNewTextFile(folder + "/plan.json", planText);
    parallelFor(all.size(), jobs, [&](std::size_t i, int) {
        const Shot& shot = all[i];
        const std::array<std::uint64_t, 2> parts{demoSeed, i};
        const std::uint64_t seed = mixedSeed(parts);
        const double jitterS =
            static_cast<double>(seed % 1000) / 1000 / sampleRateHz;  // converters start where they like
        const auto heard =
            unit.record(drives()[shot.drive].sections, directionOn(shot.orbit, shot.angleDeg), seed, jitterS);
        const std::array<std::span<const double>, 2> channels{heard.microphone, heard.loopback};
        writeWav24(folder + "/" + shot.file, channels, static_cast<int>(sampleRateHz));
    });
}

}  // namespace volvelle
