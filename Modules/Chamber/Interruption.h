#pragma once

#include <functional>
#include <mutex>
#include <stop_token>

namespace volvelle {

/// Lets any thread end what one thread is doing: a shot, a move. All methods are thread-safe. An interruption is
/// not kept for what begins later (the conductor's own, before it asks the attendant for something, must not end
/// the next shot): who wants nothing to begin any more requests a stop of the callers' token first.
class Interruption {
public:
    /// What is done now. Its token asks for a stop when the caller's does, or interrupt() is called. An
    /// interruption of before counts for nothing.
    class Scope {
    public:
        Scope(Interruption& owner, const std::stop_token& callers)
            : source_(owner.begin()), passOn_(callers, PassOn{source_}) {}
        std::stop_token token() const { return source_.get_token(); }

    private:
        struct PassOn {
            std::stop_source source;
            void operator()() noexcept { source.request_stop(); }
        };
        std::stop_source source_;
        std::stop_callback<PassOn> passOn_;
    };

    void interrupt() noexcept {
        const std::scoped_lock lock(mutex_);
        current_.request_stop();
    }

private:
    std::stop_source begin() {
        const std::scoped_lock lock(mutex_);
        current_ = std::stop_source();
        return current_;
    }

    std::mutex mutex_;
    std::stop_source current_;
};

}  // namespace volvelle
