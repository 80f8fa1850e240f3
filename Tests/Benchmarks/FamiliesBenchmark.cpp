// The two figures of the families' speed are ratios against the bare transforms of the same lengths, plans (FFTW's
// ESTIMATE), precision and threads, measured in the same run; each at most 1.5. The counter `ratio` is against the
// library's own real transforms, `ratio_own` against our RealTransform, which is quicker (Docs/decisions/0006).

#include "Benchmarks/MemoryRun.h"
#include "Families/MakeFamily.h"
#include "Response/WindowedSpectrum.h"
#include "Signal/Aligned.h"
#include "Signal/FourierTransform.h"
#include "Signal/ParallelFor.h"
#include "Signal/SpectrumSampler.h"

#include <benchmark/benchmark.h>
#include <fftw3.h>

#include <chrono>
#include <complex>
#include <functional>
#include <memory>
#include <type_traits>
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

/// The library's own real transform.
template <typename Sample>
class LibraryTransform {
public:
    explicit LibraryTransform(std::size_t n, TransformUse = TransformUse::bothWays) : n_(n) {
        AlignedVector<Sample> reals(n);
        AlignedVector<std::complex<Sample>> bins(n / 2 + 1);
        const auto length = static_cast<int>(n);
        if constexpr (isSingle) {
            auto* complex = reinterpret_cast<fftwf_complex*>(bins.data());
            forward_ = fftwf_plan_dft_r2c_1d(length, reals.data(), complex, FFTW_ESTIMATE);
            inverse_ = fftwf_plan_dft_c2r_1d(length, complex, reals.data(), FFTW_ESTIMATE);
        } else {
            auto* complex = reinterpret_cast<fftw_complex*>(bins.data());
            forward_ = fftw_plan_dft_r2c_1d(length, reals.data(), complex, FFTW_ESTIMATE);
            inverse_ = fftw_plan_dft_c2r_1d(length, complex, reals.data(), FFTW_ESTIMATE);
        }
    }
    std::size_t size() const { return n_; }
    std::size_t bins() const { return n_ / 2 + 1; }
    void forward(Sample* in, std::complex<Sample>* out) const {
        if constexpr (isSingle)
            fftwf_execute_dft_r2c(forward_, in, reinterpret_cast<fftwf_complex*>(out));
        else
            fftw_execute_dft_r2c(forward_, in, reinterpret_cast<fftw_complex*>(out));
    }
    void inverse(std::complex<Sample>* in, Sample* out) const {
        if constexpr (isSingle)
            fftwf_execute_dft_c2r(inverse_, reinterpret_cast<fftwf_complex*>(in), out);
        else
            fftw_execute_dft_c2r(inverse_, reinterpret_cast<fftw_complex*>(in), out);
    }

private:
    static constexpr bool isSingle = std::is_same_v<Sample, float>;
    std::size_t n_;
    std::conditional_t<isSingle, fftwf_plan, fftw_plan> forward_, inverse_;  // live as long as the process
};

/// Executes transforms over windows, and nothing else.
template <template <typename> class Transform>
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
    std::vector<Transform<double>> transforms_;
    std::vector<AlignedVector<double>> in_;
    std::vector<AlignedVector<std::complex<double>>> out_;
};

/// Executes the transforms of deconvolutions with a loopback, and nothing else.
template <template <typename> class Transform>
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
    Transform<float> transform_;
    std::vector<AlignedVector<float>> samples_;
    std::vector<AlignedVector<std::complex<float>>> bins_;
};

/// Seconds of the families, of the library's transforms, of ours.
struct Times {
    double families = 0, library = 0, own = 0;

    void tell(benchmark::State& state) const {
        const auto rounds = static_cast<double>(state.iterations());
        state.counters["families_ms"] = families / rounds * 1e3;
        state.counters["bare_ms"] = library / rounds * 1e3;
        state.counters["bare_own_ms"] = own / rounds * 1e3;
        state.counters["ratio"] = families / library;
        state.counters["ratio_own"] = families / own;
    }
};

void familiesFromCaptures(benchmark::State& state) {
    const MemoryRun run = benchmarkRun(1);
    const std::size_t length = run.record().drives.front().samplesPerChannel;
    const std::size_t captures = run.record().drives.front().captures.size();
    BareDeconvolutions<LibraryTransform> library(length);
    BareDeconvolutions<RealTransform> own(length);
    BareWindows<LibraryTransform> libraryWindows(run.record());
    BareWindows<RealTransform> ownWindows(run.record());
    const auto bare = [&](auto& deconvolutions, auto& windows) {
        return secondsOf([&] {
            parallelFor(captures, jobs, [&](std::size_t, int worker) {
                deconvolutions.run(worker);
                windows.run(worker);
            });
        });
    };
    Times times;
    for (auto _ : state) {
        times.families +=
            secondsOf([&] { benchmark::DoNotOptimize(makeFamily(run, "sectiona", Recipe{}, jobs)); });
        times.library += bare(library, libraryWindows);
        times.own += bare(own, ownWindows);
    }
    times.tell(state);
}

void familiesFromImpulses(benchmark::State& state) {
    const MemoryRun run = benchmarkRun(3);
    std::vector<std::unique_ptr<KeptImpulses>> kept;
    std::vector<const KeptImpulses*> drives;
    for (std::size_t d = 0; d < 3; ++d) {
        kept.push_back(std::make_unique<KeptImpulses>(run, d, jobs));
        drives.push_back(kept.back().get());
    }
    BareWindows<LibraryTransform> library(run.record());
    BareWindows<RealTransform> own(run.record());
    const std::size_t captures = run.record().drives.front().captures.size();
    const auto bare = [&](auto& windows) {
        return secondsOf(
            [&] { parallelFor(3 * captures, jobs, [&](std::size_t, int worker) { windows.run(worker); }); });
    };
    double endS = 0.02;
    Times times;
    Recipe recipe;
    for (auto _ : state) {
        recipe.window.endS = endS += 1e-6;  // the edge is being dragged
        times.families += secondsOf([&] { benchmark::DoNotOptimize(makeFamilies(drives, recipe, jobs)); });
        times.library += bare(library);
        times.own += bare(own);
    }
    times.tell(state);
}

BENCHMARK(familiesFromCaptures)->Unit(benchmark::kMillisecond)->MinTime(3)->UseRealTime();
BENCHMARK(familiesFromImpulses)->Unit(benchmark::kMillisecond)->MinTime(3)->UseRealTime();

}  // namespace

}  // namespace volvelle
