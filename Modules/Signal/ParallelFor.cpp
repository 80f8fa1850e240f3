#include "Signal/ParallelFor.h"

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <deque>
#include <exception>
#include <mutex>
#include <stop_token>
#include <system_error>
#include <thread>
#include <vector>

namespace volvelle {

namespace {

/// One call's work, shared by the threads that take part.
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

/// The threads that wait for work, as many as were ever asked for at once. A call that finds none free does
/// all of its work itself, so calls may lie within each other.
class Pool {
public:
    /// Runs the share on this thread and on up to `helpers` others; returns when none works on it any more.
    void run(Share& share, int helpers) {
        Call call{&share, helpers, 0};
        {
            const std::scoped_lock lock(mutex_);
            startThreads(helpers);
            if (!threads_.empty()) open_.push_back(&call);
        }
        for (int h = 0; h < helpers; ++h) wake_.notify_one();
        share.run(0);
        std::unique_lock lock(mutex_);
        std::erase(open_, &call);
        done_.wait(lock, [&] { return call.working == 0; });
    }

private:
    struct Call {
        Share* share;
        int places;   ///< that nobody has taken yet
        int working;  ///< threads of the pool that are at it
    };

    /// So many where the system has them. Fewer do the work as well: this one alone, if need be.
    void startThreads(int wanted) {
        try {
            while (std::ssize(threads_) < wanted)
                threads_.emplace_back([this](const std::stop_token& stop) { serve(stop); });
        } catch (const std::system_error&) {
        }
    }

    void serve(const std::stop_token& stop) {
        std::unique_lock lock(mutex_);
        while (wake_.wait(lock, stop, [this] { return !open_.empty(); })) {
            Call& call = *open_.front();
            const int worker = call.places--;
            ++call.working;
            if (call.places == 0) open_.pop_front();
            lock.unlock();
            call.share->run(worker);
            lock.lock();
            if (--call.working == 0) done_.notify_all();
        }
    }

    std::mutex mutex_;
    std::condition_variable_any wake_, done_;
    std::deque<Call*> open_;
    std::vector<std::jthread> threads_;  ///< last: they end before what they use
};

Pool& pool() {
    static Pool only;
    return only;
}

}  // namespace

void parallelFor(std::size_t count, int jobs,
                 const std::function<void(std::size_t index, int worker)>& work) {
    Share share(count, work);
    const auto wanted = std::min<std::size_t>(count, static_cast<std::size_t>(std::max(jobs, 1)));
    if (wanted > 1)
        pool().run(share, static_cast<int>(wanted) - 1);
    else
        share.run(0);
    share.rethrow();
}

int processorCount() {
    return std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}

}  // namespace volvelle
