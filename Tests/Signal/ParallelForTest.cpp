#include "Signal/ComplexLoops.h"
#include "Signal/ParallelFor.h"
#include "Signal/Sums.h"

#include <gtest/gtest.h>
#include <pthread.h>

#include <atomic>
#include <stdexcept>
#include <system_error>
#include <thread>
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

#ifdef __GLIBC__
/// As long as it lives no thread can be started: its stack would be larger than the address space.
class NoMoreThreads {
public:
    NoMoreThreads() {
        pthread_getattr_default_np(&before_);
        pthread_attr_t huge;
        pthread_attr_init(&huge);
        pthread_attr_setstacksize(&huge, std::size_t{1} << 60);
        pthread_setattr_default_np(&huge);
        pthread_attr_destroy(&huge);
    }
    ~NoMoreThreads() {
        pthread_setattr_default_np(&before_);
        pthread_attr_destroy(&before_);
    }
    NoMoreThreads(const NoMoreThreads&) = delete;
    NoMoreThreads& operator=(const NoMoreThreads&) = delete;

private:
    pthread_attr_t before_{};
};

TEST(ParallelFor, DoesItsWorkWithTheThreadsThatItGets) {
    const NoMoreThreads none;
    ASSERT_THROW(std::thread([] {}).join(), std::system_error);
    std::vector<std::atomic<int>> calls(1000);
    parallelFor(calls.size(), 200, [&](std::size_t i, int) { ++calls[i]; });  // more than there are
    for (const auto& c : calls) EXPECT_EQ(c, 1);
}
#endif

TEST(ParallelFor, LiesWithinItselfAndEveryIndexIsCalledOnce) {
    std::vector<std::atomic<int>> calls(20 * 30 * 5);
    parallelFor(20, 4, [&](std::size_t i, int) {
        parallelFor(30, 3, [&](std::size_t j, int) {
            parallelFor(5, 2, [&](std::size_t k, int) { ++calls[(i * 30 + j) * 5 + k]; });
        });
    });
    for (const auto& c : calls) ASSERT_EQ(c, 1);
}

TEST(ParallelFor, IsCalledBySeveralThreadsAtOnce) {
    constexpr std::size_t count = 3000;
    std::vector<std::vector<std::atomic<int>>> calls(4);
    for (auto& one : calls) one = std::vector<std::atomic<int>>(count);
    {
        std::vector<std::jthread> callers;
        for (auto& one : calls)
            callers.emplace_back([&one] { parallelFor(count, 3, [&](std::size_t i, int) { ++one[i]; }); });
    }
    for (const auto& one : calls)
        for (const auto& c : one) ASSERT_EQ(c, 1);
}

TEST(ParallelFor, NumbersNoMoreWorkersThanThereIsWork) {
    for (const std::size_t count : {1U, 2U, 3U}) {
        std::atomic<int> highest{-1};
        std::atomic<std::size_t> calls{0};
        parallelFor(count, 64, [&](std::size_t, int worker) {
            ++calls;
            int seen = highest;
            while (worker > seen && !highest.compare_exchange_weak(seen, worker)) {
            }
        });
        EXPECT_EQ(calls, count);
        EXPECT_LT(highest, static_cast<int>(count));
    }
}

TEST(ParallelFor, RethrowsWhatAHelperThreadThrew) {
    const auto caller = std::this_thread::get_id();
    std::atomic<bool> hasThrown{false};
    EXPECT_THROW(parallelFor(1000, 2,
                             [&](std::size_t, int worker) {
                                 if (worker == 0) {  // the caller stays until a helper was here
                                     while (!hasThrown) std::this_thread::yield();
                                     return;
                                 }
                                 EXPECT_NE(std::this_thread::get_id(), caller);
                                 hasThrown = true;
                                 throw std::runtime_error("of a helper");
                             }),
                 std::runtime_error);
    std::atomic<int> calls{0};
    parallelFor(100, 2, [&](std::size_t, int) { ++calls; });  // the pool lives on
    EXPECT_EQ(calls, 100);
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
