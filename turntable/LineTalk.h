#pragma once

#include "Clock/Clock.h"
#include "turntable/Dialect.h"
#include "turntable/Wire.h"

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace volvelle {

/// A line as it goes over the wire, check and line end included.
std::string framedLine(std::string_view body, const LineForm& form);

/// The body of a received line without its end; nothing where its check is wrong, or where it has control
/// characters or bytes that are no ASCII.
std::optional<std::string> bodyOf(std::string_view line, const LineForm& form);

/// How one exchange ended.
enum class TalkEnd {
    answered,   ///< every expected line came, in order
    error,      ///< a reply that means that something went wrong
    silent,     ///< not in time
    restarted,  ///< the table has begun anew: it lost its power
    dropped,    ///< the line is gone
    stopped     ///< a stop was asked for; what was to be sent may not have been
};

struct TalkResult {
    TalkEnd end = TalkEnd::silent;
    ReplyFields fields;                   ///< of all expected lines together
    const DialectError* error = nullptr;  ///< of the dialect; for TalkEnd::error
    std::string what;                     ///< what went wrong, in plain words
    bool isClean = true;                  ///< nothing came but what was expected
};

/// The bytes that a dialect says: commands out, replies in. One thread, but for sending itself (Wire).
class LineTalk {
public:
    /// Sends a line; nothing where a stop has been asked for.
    using Sender = std::function<std::optional<bool>(const std::string& bytes)>;
    using StopCheck = std::function<bool()>;

    /// All are kept by reference.
    LineTalk(const Dialect& dialect, Wire& wire, Clock& clock);

    /// Sends one step and waits for its replies, for withinS at most. `sender` may refuse to send,
    /// `isStopped` ends the waiting within 20 ms. Lines that came before are judged first: a restart among
    /// them is not passed over.
    TalkResult exchange(const DialectStep& step, CommandValues values, double withinS, const Sender& sender,
                        const StopCheck& isStopped);

    /// Reads past whatever still comes until the line has been quiet for the dialect's time, 5 s at most.
    /// End: answered (quiet), restarted or dropped.
    TalkResult settle();

private:
    struct Waiting;
    void split();
    std::optional<std::string> nextLine();
    TalkResult strays();
    bool judge(const std::string& line, Waiting& waiting);
    bool isExpected(const std::string& body, Waiting& waiting) const;
    const DialectError* errorIn(const std::string& body, long long id) const;
    bool isOneOf(const std::vector<ReplyPattern>& patterns, const std::string& body) const;

    const Dialect& dialect_;
    Wire& wire_;
    Clock& clock_;
    std::string received_;
    long long id_ = 0;
};

}  // namespace volvelle
