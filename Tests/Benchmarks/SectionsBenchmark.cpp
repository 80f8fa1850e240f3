// What follows a knob: sums of two sections with a gain, delay and polarity each, 70 positions at 481
// frequencies, and the levels of the family. To be under 2 ms; the counter `ratio` is against a plain loop
// that multiplies and adds as many complex numbers once, measured in the same run: at most 6 without
// smoothing (with it, sums are made on a grid three times as dense).

#include "Families/Grids.h"
#include "Sections/Superposition.h"
#include "Signal/ComplexLoops.h"
#include "Sphere/AngleSet.h"

#include <benchmark/benchmark.h>

#include <chrono>
#include <cmath>
#include <complex>
#include <functional>

namespace volvelle {

namespace {

constexpr std::size_t parts = 2;

double secondsOf(const std::function<void()>& work) {
    const auto start = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

HeldDrive inventedDrive(const HeldSections& held, double number) {
    HeldDrive drive;
    for (const MeasuredPosition& p : held.positions) {
        drive.present.push_back(1);
        for (const double f : held.grids.computedHz)
            drive.pressure.push_back(
                std::polar(1 + 0.1 * number + 0.001 * p.angleDeg, f * 1e-3 * (6 + number)));
    }
    return drive;
}

/// 70 directions of two orbits of 10°, 481 frequencies, smoothed over 1/smoothing octave (0: not).
HeldSections inventedSections(int smoothing) {
    HeldSections held;
    held.recipe.highHz = 20480;
    held.recipe.smoothing = smoothing;
    held.grids = gridsOf(held.recipe, 48000);
    for (const Orbit orbit : {Orbit::horizontal, Orbit::vertical})
        for (const double angle : orbitAngles(10)) {
            if (orbit == Orbit::vertical && (angle == 0 || angle == 180)) continue;
            held.positions.push_back({directionOn(orbit, angle), orbit, angle, "", {}, false});
        }
    for (std::size_t i = 0; i < parts; ++i) held.parts.push_back(inventedDrive(held, static_cast<double>(i)));
    held.whole = inventedDrive(held, 3);
    return held;
}

/// As many products and sums of complex numbers, and nothing else.
void plainLoop(const HeldSections& held, const std::vector<std::complex<double>>& factor,
               std::vector<std::complex<double>>& out) {
    const std::size_t points = held.grids.computedHz.size();
    for (std::size_t p = 0; p < held.positions.size(); ++p)
        for (std::size_t f = 0; f < points; ++f) {
            std::complex<double> sum = 0;
            for (std::size_t i = 0; i < parts; ++i)
                sum += product(factor[i * points + f], held.parts[i].pressure[p * points + f]);
            out[p * points + f] = sum;
        }
}

void sectionsFollowAKnob(benchmark::State& state) {
    const HeldSections held = inventedSections(static_cast<int>(state.range(0)));
    const Superposition superposition(held);
    Superposition::Sums sums;
    std::vector<SectionSetting> settings(parts);
    std::vector<std::complex<double>> factor(parts * held.grids.computedHz.size(), {0.5, 0.5});
    std::vector<std::complex<double>> out(held.whole.pressure.size());
    double knob = 0, bare = 0;
    for (auto _ : state) {
        settings[1] = {-2, settings[1].delayS + 1e-7, true};  // the knob is being turned
        knob += secondsOf([&] {
            superposition.add(settings, sums);
            benchmark::DoNotOptimize(sums.levelDb.data());
        });
        bare += secondsOf([&] {
            plainLoop(held, factor, out);
            benchmark::DoNotOptimize(out.data());
            benchmark::ClobberMemory();
        });
    }
    state.counters["positions"] = static_cast<double>(held.positions.size());
    state.counters["frequencies"] = static_cast<double>(held.grids.wantedHz.size());
    state.counters["knob_ms"] = knob / static_cast<double>(state.iterations()) * 1e3;
    state.counters["bare_ms"] = bare / static_cast<double>(state.iterations()) * 1e3;
    state.counters["ratio"] = knob / bare;
}

BENCHMARK(sectionsFollowAKnob)
    ->ArgName("smoothing")
    ->Arg(0)
    ->Arg(6)
    ->Unit(benchmark::kMillisecond)
    ->MinTime(2)
    ->UseRealTime();

}  // namespace

}  // namespace volvelle
