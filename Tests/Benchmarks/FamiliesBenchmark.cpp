// The two figures of the families' speed are ratios against the bare transforms of the same lengths, plans,
// precision and threads, measured in the same run: Families/FromCaptures against Bare/FromCaptures, at
// most 1.5; Families/FromImpulses against Bare/FromImpulses, at most 1.5. The counter `ratio` is printed with
// the families.

#include "Benchmarks/MemoryRun.h"
#include "Families/MakeFamily.h"
#include "Response/WindowedSpectrum.h"
#include "Signal/Aligned.h"
#include "Signal/FourierTransform.h"
#include "Signal/ParallelFor.h"
#include "Signal/SpectrumSampler.h"

#include <benchmark/benchmark.h>

#include <chrono>
#include <memory>
#include <vector>

namespace volvelle {

namespace {

constexpr int jobs = 2;

double secondsOf(const std::function<void()>& work) {
    const auto start = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

/// Lengths of the transforms over windows that the default recipe takes for a run.
std::vector<std::size_t> windowTransforms(const RunRecord& run) {
    const ResolvedRecipe recipe = resolveRecipe(run, Recipe{});
    const double rate = run.drives.front().sampleRateHz;
    const std::vector<double> any{1000};
    std::vector<std::size_t> lengths{
        SpectrumSampler(any, rate, sampled(recipe.window, rate).weights.size()).transformLength()};
    if (recipe.lowWindow)
        lengths.push_back(
            SpectrumSampler(any, rate, sampled(*recipe.lowWindow, rate).weights.size()).transformLength());
    return lengths;
}

/// Executes transforms over windows, and nothing else.
class BareWindows {
public:
    explicit BareWindows(const RunRecord& run) {
        for (const std::size_t n : windowTransforms(run)) {
            transforms_.emplace_back(n, TransformUse::forwardOnly);
            for (int worker = 0; worker < jobs; ++worker) {
                in_.emplace_back(n);
                out_.emplace_back(n / 2 + 1);
            }
        }
    }
    void run(int worker) {
        for (std::size_t t = 0; t < transforms_.size(); ++t) {
            const std::size_t memory = t * jobs + static_cast<std::size_t>(worker);
            transforms_[t].forward(in_[memory].data(), out_[memory].data());
        }
    }

private:
    std::vector<RealTransform<double>> transforms_;
    std::vector<AlignedVector<double>> in_;
    std::vector<AlignedVector<std::complex<double>>> out_;
};

/// Executes the transforms of deconvolutions with a loopback, and nothing else.
class BareDeconvolutions {
public:
    explicit BareDeconvolutions(std::size_t length) : transform_(fastLength(length)) {
        for (int worker = 0; worker < jobs; ++worker) {
            samples_.emplace_back(transform_.size());
            bins_.emplace_back(transform_.bins());
        }
    }
    void run(int worker) {
        auto& samples = samples_[static_cast<std::size_t>(worker)];
        auto& bins = bins_[static_cast<std::size_t>(worker)];
        transform_.forward(samples.data(), bins.data());
        transform_.forward(samples.data(), bins.data());
        transform_.inverse(bins.data(), samples.data());
    }

private:
    RealTransform<float> transform_;
    std::vector<AlignedVector<float>> samples_;
    std::vector<AlignedVector<std::complex<float>>> bins_;
};

void familiesFromCaptures(benchmark::State& state) {
    const MemoryRun run = benchmarkRun(1);
    BareDeconvolutions deconvolutions(run.record().drives.front().samplesPerChannel);
    BareWindows windows(run.record());
    const std::size_t captures = run.record().drives.front().captures.size();
    double full = 0, bare = 0;
    for (auto _ : state) {
        full += secondsOf([&] { benchmark::DoNotOptimize(makeFamily(run, "sectiona", Recipe{}, jobs)); });
        bare += secondsOf([&] {
            parallelFor(captures, jobs, [&](std::size_t, int worker) {
                deconvolutions.run(worker);
                windows.run(worker);
            });
        });
    }
    state.counters["bare_ms"] = bare / static_cast<double>(state.iterations()) * 1e3;
    state.counters["families_ms"] = full / static_cast<double>(state.iterations()) * 1e3;
    state.counters["ratio"] = full / bare;
}

void familiesFromImpulses(benchmark::State& state) {
    const MemoryRun run = benchmarkRun(3);
    std::vector<std::unique_ptr<KeptImpulses>> kept;
    std::vector<const KeptImpulses*> drives;
    for (std::size_t d = 0; d < 3; ++d) {
        kept.push_back(std::make_unique<KeptImpulses>(run, d, jobs));
        drives.push_back(kept.back().get());
    }
    BareWindows windows(run.record());
    const std::size_t captures = run.record().drives.front().captures.size();
    double full = 0, bare = 0, endS = 0.02;
    Recipe recipe;
    for (auto _ : state) {
        recipe.window.endS = endS += 1e-6;  // the edge is being dragged
        full += secondsOf([&] { benchmark::DoNotOptimize(makeFamilies(drives, recipe, jobs)); });
        bare += secondsOf(
            [&] { parallelFor(3 * captures, jobs, [&](std::size_t, int worker) { windows.run(worker); }); });
    }
    state.counters["bare_ms"] = bare / static_cast<double>(state.iterations()) * 1e3;
    state.counters["families_ms"] = full / static_cast<double>(state.iterations()) * 1e3;
    state.counters["ratio"] = full / bare;
}

BENCHMARK(familiesFromCaptures)->Unit(benchmark::kMillisecond)->MinTime(3)->UseRealTime();
BENCHMARK(familiesFromImpulses)->Unit(benchmark::kMillisecond)->MinTime(3)->UseRealTime();

}  // namespace

}  // namespace volvelle
