#include "Signal/ParallelFor.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace volvelle {

namespace {

class Share {
public:
    Share(std::size_t count, const std::function<void(std::size_t, int)>& work)
        : count_(count), work_(work) {}

    void run(int worker) {
        try {
            for (std::size_t i = next_++; i < count_; i = next_++) work_(i, worker);
        } catch (...) {
            next_ = count_;
            const std::scoped_lock lock(mutex_);
            if (!failure_) failure_ = std::current_exception();
        }
    }

    void rethrow() const {
        if (failure_) std::rethrow_exception(failure_);
    }

private:
    std::size_t count_;
    const std::function<void(std::size_t, int)>& work_;
    std::atomic<std::size_t> next_{0};
    std::mutex mutex_;
    std::exception_ptr failure_;
};

}  // namespace

void parallelFor(std::size_t count, int jobs,
                 const std::function<void(std::size_t index, int worker)>& work) {
    Share share(count, work);
    {
        std::vector<std::jthread> others;
        const int wanted =
            static_cast<int>(std::min<std::size_t>(count, static_cast<std::size_t>(std::max(jobs, 1))));
        for (int worker = 1; worker < wanted; ++worker)
            others.emplace_back([&share, worker] { share.run(worker); });
        share.run(0);
    }
    share.rethrow();
}

int processorCount() {
    return std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

}  // namespace volvelle
