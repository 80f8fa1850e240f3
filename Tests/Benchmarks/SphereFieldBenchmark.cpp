#include "Acoustics/SphereField.h"

#include <benchmark/benchmark.h>

#include <complex>
#include <cstddef>
#include <numbers>
#include <vector>

namespace volvelle {
namespace {

/// Two caps on a sphere of 0.15 m in seventy directions at 2049 frequencies up to ka = 75: what a simulated unit
/// needs.
void sphereOfSeventyDirections(benchmark::State& state) {
    const RigidSphere sphere{0.15, 343.2, 1.2041};
    std::vector<double> frequencies(2049);
    for (std::size_t i = 0; i < frequencies.size(); ++i) {
        const double ka = 75.0 * static_cast<double>(i) / 2048;
        frequencies[i] = ka * sphere.speedOfSound / (2 * std::numbers::pi * sphere.radiusM);
    }
    std::vector<std::complex<double>> out(frequencies.size());
    for (auto _ : state) {
        const SphereField field(sphere, frequencies, 2);
        for (int i = 0; i < 70; ++i)
            for (const double axis : {0.0, 180.0}) {
                field.pressure({{axis, 0}, 20}, {5.0 * i > 180 ? 5.0 * i - 360 : 5.0 * i, 0}, out);
                benchmark::DoNotOptimize(out.data());
            }
    }
}

BENCHMARK(sphereOfSeventyDirections)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace volvelle
