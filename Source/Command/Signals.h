#pragma once

namespace volvelle {

/// From now on SIGINT, SIGTERM and SIGHUP (unless ignored) remove what is unfinished on disk and then end the
/// process as if nobody had caught them, so that the shell sees why it ended. A thread of its own waits for
/// them; call this before any other thread begins, for they inherit the blocked signals.
void stopCleanlyOnSignals();

/// A reader that closes its pipe ends nothing; and files that are opened never take the place of a standard
/// stream that was closed.
void secureStandardStreams();

}  // namespace volvelle
