#pragma once

#include <stop_token>
#include <string>

namespace volvelle {

/// From now on SIGINT, SIGTERM and SIGHUP (unless ignored) remove what is unfinished on disk and then end the
/// process as if nobody had caught them, so that the shell sees why it ended; while a StopOnSignals lives they ask
/// it to stop instead. A thread of its own waits for them; call this before any other thread begins, for they
/// inherit the blocked signals.
void stopCleanlyOnSignals();

/// While it lives, the first of those signals asks for a stop; the next one ends the process as above. One at a
/// time.
class StopOnSignals {
public:
    StopOnSignals();
    ~StopOnSignals();
    StopOnSignals(const StopOnSignals&) = delete;
    StopOnSignals& operator=(const StopOnSignals&) = delete;

    std::stop_token token() const;

    /// From now on nothing moves or sounds, and what is under way is brought to its end: the first signal is answered
    /// with these words.
    void finish(std::string what);
};

/// A reader that closes its pipe ends nothing; and files that are opened never take the place of a standard
/// stream that was closed.
void secureStandardStreams();

}  // namespace volvelle
