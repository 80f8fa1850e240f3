#include "Signal/ComplexLoops.h"
#include "Signal/ParallelFor.h"
#include "Signal/Sums.h"

#include <gtest/gtest.h>

#include <atomic>
#include <stdexcept>
#include <vector>

namespace volvelle {
namespace {

TEST(ParallelFor, CallsEveryIndexOnceWhateverTheNumberOfThreads) {
    for (const std::size_t count : {0U, 1U, 2U, 7U, 1000U})
        for (int jobs = 1; jobs <= 8; ++jobs) {
            std::vector<std::atomic<int>> calls(count);
            std::vector<std::atomic<int>> busy(static_cast<std::size_t>(jobs));
            std::atomic<bool> shared{false}, outside{false};
            parallelFor(count, jobs, [&](std::size_t i, int worker) {
                if (worker < 0 || worker >= jobs) {
                    outside = true;
                    return;
                }
                auto& mine = busy[static_cast<std::size_t>(worker)];
                if (mine++ != 0) shared = true;  // two threads with one worker's memory
                ++calls[i];
                --mine;
            });
            for (const auto& c : calls) EXPECT_EQ(c, 1);
            EXPECT_FALSE(shared);
            EXPECT_FALSE(outside);
        }
}

TEST(ParallelFor, TakesFewerThanOneJobForOne) {
    int calls = 0;
    parallelFor(3, 0, [&](std::size_t, int worker) { calls += worker == 0 ? 1 : 100; });
    EXPECT_EQ(calls, 3);
}

TEST(ParallelFor, RethrowsAndCallsNoFurther) {
    for (int jobs = 1; jobs <= 8; ++jobs) {
        std::atomic<int> calls{0};
        EXPECT_THROW(parallelFor(100000, jobs,
                                 [&](std::size_t i, int) {
                                     ++calls;
                                     if (i == 5) throw std::runtime_error("five");
                                 }),
                     std::runtime_error);
        if (jobs == 1) {
            EXPECT_EQ(calls, 6);
        }
    }
}

TEST(ProcessorCount, IsAtLeastOne) {
    EXPECT_GE(processorCount(), 1);
}

TEST(Sums, InLanesAreThePlainSums) {
    for (const std::size_t n : {0U, 1U, 7U, 8U, 9U, 1003U}) {
        std::vector<float> x;
        double sum = 0, squares = 0;
        for (std::size_t i = 0; i < n; ++i) {
            x.push_back(static_cast<float>(i % 13) - 4.25F);
            sum += double{x.back()};
            squares += double{x.back()} * double{x.back()};
        }
        EXPECT_NEAR(meanOf(x), n > 0 ? sum / static_cast<double>(n) : 0, 1e-12);
        EXPECT_NEAR(energyOf(x), squares, 1e-9);
    }
}

TEST(ComplexProduct, IsThatOfTheStandardLibrary) {
    const std::complex<double> a(1.5, -2.25), b(-0.75, 3.5);
    EXPECT_EQ(product(a, b), a * b);
    std::vector<std::complex<double>> many{a, b, 1.0};
    const std::vector<std::complex<double>> by{b, b, a};
    multiplyInPlace<double>(many, by);
    EXPECT_EQ(many, (std::vector<std::complex<double>>{a * b, b * b, a}));
}

}  // namespace
}  // namespace volvelle
