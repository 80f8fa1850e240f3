#include "Benchmarks/MemoryRun.h"

#include "Chamber/Noise.h"
#include "Signal/Excitation.h"
#include "Sphere/AngleSet.h"

#include <cmath>
#include <utility>

namespace volvelle {

namespace {

constexpr double rateHz = 48000;
constexpr std::size_t length = 168000;

std::vector<float> capture(const std::vector<float>& sweep, std::uint64_t seed) {
    std::vector<float> samples(2 * length, 0.0F);
    Noise noise(seed);
    constexpr std::size_t flight = 280;  // samples
    for (std::size_t n = 0; n < length; ++n) {
        const double heard = n >= flight && n - flight < sweep.size() ? 0.2 * double{sweep[n - flight]} : 0.0;
        samples[n] = static_cast<float>(heard + 1e-5 * noise());
        samples[length + n] = n < sweep.size() ? 0.5F * sweep[n] : 0.0F;
    }
    return samples;
}

Capture described(Orbit orbit, double angleDeg) {
    Capture c;
    c.orbit = orbit;
    c.angleDeg = angleDeg;
    c.direction = directionOn(orbit, angleDeg);
    c.distanceM = 2;
    c.quality.arrivalS = 280 / rateHz;
    c.quality.polarity = 1;
    c.quality.decayS.assign(judgedOctavesHz().size(), 0.01);
    for (std::size_t b = 0; b < 5; ++b) c.quality.decayS[b] = 0.12;
    return c;
}

}  // namespace

MemoryRun benchmarkRun(int drives) {
    const auto wide = sweepSamples(synchronisedSweep(20, 20000, 3), rateHz, 0.01, 0.002);
    DriveRecord drive;
    drive.sampleRateHz = rateHz;
    drive.channelRoles = {"microphone", "loopback"};
    drive.samplesPerChannel = length;
    drive.excitation.sampleRateHz = rateHz;
    drive.excitation.samples.assign(wide.begin(), wide.end());
    std::vector<std::vector<float>> captures;
    for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
        for (const double angle : orbitAngles(10)) {
            if (orbit == Orbit::vertical && (angle == 0 || angle == 180)) continue;  // 70 directions
            drive.captures.push_back(described(orbit, angle));
            captures.push_back(capture(drive.excitation.samples, captures.size()));
        }
    RunRecord run;
    run.calibration.pascalPerFullScale = 10;
    run.calibration.voltsPerFullScale = 2.83;
    run.nominalDistanceM = 2;
    for (int d = 0; d < drives; ++d) {
        drive.name = std::string("section") + static_cast<char>('a' + d);
        run.drives.push_back(drive);
    }
    return {std::move(run), std::move(captures)};
}

}  // namespace volvelle
