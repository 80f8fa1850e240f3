#pragma once

#include "Run/MemoryFiles.h"
#include "Run/RunFile.h"
#include "Sphere/Direction.h"

#include <cmath>
#include <functional>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace volvelle::toy {

// Small sealed runs in memory whose samples are a function, for tests of what is computed of runs.

constexpr double rate = 48000;
constexpr double pascal = 5, volts = 2, distance = 2;
constexpr double earliestArrivalS = 0.003;

/// Fills one capture's samples: channel after channel.
using Samples = std::function<void(const DriveRecord& drive, const Capture& capture, std::span<float> out)>;

class FunctionSource final : public CaptureSource {
public:
    FunctionSource(const RunRecord& run, Samples samples) : run_(run), samples_(std::move(samples)) {}
    void read(std::size_t, std::size_t, std::span<std::int32_t>) override { std::abort(); }
    void read(std::size_t drive, std::size_t capture, std::span<float> out) override {
        std::fill(out.begin(), out.end(), 0.0F);
        samples_(run_.drives[drive], run_.drives[drive].captures[capture], out);
    }

private:
    const RunRecord& run_;
    Samples samples_;
};

/// A sealed run and the memory that it lies in.
class SealedToy {
public:
    SealedToy(const RunRecord& record, Samples samples) : run_(written(record, std::move(samples))) {}
    const SealedRun& operator*() const { return run_; }
    const SealedRun* operator->() const { return &run_; }

private:
    SealedRun written(const RunRecord& record, Samples samples) {
        FunctionSource source(record, std::move(samples));
        writeSealedRun("toy.h5", record, source, files_);
        return SealedRun("toy.h5", files_);
    }
    MemoryFiles files_;
    SealedRun run_;
};

inline Capture captureAt(Orbit orbit, double angleDeg) {
    Capture c;
    c.orbit = orbit;
    c.angleDeg = angleDeg;
    c.direction = directionOn(orbit, angleDeg);
    c.stance = orbit == Orbit::horizontal ? Stance::upright : Stance::onSide;
    c.id = positionName(c);
    c.distanceM = distance;
    c.quality.arrivalS = earliestArrivalS;
    c.quality.polarity = 1;
    return c;
}

/// Captures of both orbits every stepDeg, each with 0° and 180°.
inline std::vector<Capture> twoOrbits(double stepDeg) {
    std::vector<Capture> captures;
    for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
        for (double a = -180 + stepDeg; a <= 180; a += stepDeg) captures.push_back(captureAt(orbit, a));
    return captures;
}

/// A drive of impulse responses.
inline DriveRecord impulseDrive(const std::string& name, std::vector<Capture> captures,
                                std::size_t samples = 1536) {
    DriveRecord d;
    d.name = name;
    d.form = CaptureForm::impulseResponse;
    d.sampleRateHz = rate;
    d.sampleType = SampleType::float32;
    d.bitsPerSample = 32;
    d.channelRoles = {"microphone"};
    d.samplesPerChannel = samples;
    d.captures = std::move(captures);
    return d;
}

/// A drive of recordings, with a loopback channel or without.
inline DriveRecord recordingDrive(const std::string& name, std::vector<Capture> captures,
                                  std::vector<float> excitation, std::size_t samples, bool loopback) {
    DriveRecord d = impulseDrive(name, std::move(captures), samples);
    d.form = CaptureForm::recording;
    if (loopback) d.channelRoles.push_back("loopback");
    d.excitation.samples = std::move(excitation);
    d.excitation.sampleRateHz = rate;
    return d;
}

inline RunRecord runOf(std::vector<DriveRecord> drives) {
    RunRecord run;
    run.calibration.pascalPerFullScale = pascal;
    run.calibration.voltsPerFullScale = volts;
    run.nominalDistanceM = distance;
    run.timeZero = TimeZero::impulse;
    run.drives = std::move(drives);
    return run;
}

/// What one unit of spectrum is worth in Pa at 1 m for 2.83 V.
constexpr double scale = pascal / volts * 2.83 * distance;

}  // namespace volvelle::toy
