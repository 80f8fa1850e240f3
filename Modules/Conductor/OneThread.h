#pragma once

#include <condition_variable>
#include <functional>
#include <future>
#include <memory>
#include <mutex>
#include <stop_token>
#include <thread>
#include <utility>

namespace volvelle {

/// One standing thread that does one thing after the other: a new thread for each would leave memory behind in
/// the allocator's arenas, capture after capture. begin() is called by one thread.
class OneThread {
public:
    OneThread() : thread_([this](const std::stop_token& stop) { serve(stop); }) {}

    /// Nothing is under way.
    template <typename Result>
    std::future<Result> begin(std::function<Result()> work) {
        auto task = std::make_shared<std::packaged_task<Result()>>(std::move(work));
        auto result = task->get_future();
        {
            const std::scoped_lock lock(mutex_);
            next_ = [task = std::move(task)] { (*task)(); };
        }
        wake_.notify_one();
        return result;
    }

private:
    void serve(const std::stop_token& stop) {
        std::unique_lock lock(mutex_);
        while (wake_.wait(lock, stop, [this] { return next_ != nullptr; })) {
            const auto work = std::exchange(next_, nullptr);
            lock.unlock();
            work();
            lock.lock();
        }
    }

    std::mutex mutex_;
    std::condition_variable_any wake_;
    std::function<void()> next_;
    std::jthread thread_;  ///< last: it ends before what it uses
};

}  // namespace volvelle
