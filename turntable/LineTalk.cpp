#include "turntable/LineTalk.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>

namespace volvelle {

namespace {

constexpr double sliceS = 0.02;         // how long a stop may go unnoticed
constexpr double longestSettlingS = 5;  // of a line that will not be quiet
constexpr int mostBusy = 50;
constexpr long long lastId = 9999;

std::string checkOf(std::string_view body) {
    std::uint8_t sum = 0;
    for (const char c : body) sum = static_cast<std::uint8_t>(sum ^ static_cast<std::uint8_t>(c));
    return fmt::format("{:02X}", sum);
}

bool isPlain(char c) {
    return c >= ' ' && c <= '~';
}

/// For messages: what is not printable becomes a dot, and it is cut.
std::string shown(std::string_view line) {
    std::string text(line.substr(0, 40));
    std::replace_if(
        text.begin(), text.end(), [](char c) { return !isPlain(c); }, '.');
    return "'" + text + (line.size() > 40 ? "…'" : "'");
}

}  // namespace

std::string framedLine(std::string_view body, const LineForm& form) {
    std::string line(body);
    if (form.hasCheck) line += "*" + checkOf(body);
    return line + form.ends;
}

std::optional<std::string> bodyOf(std::string_view line, const LineForm& form) {
    while (!line.empty() && (line.back() == '\r' || line.back() == ' ')) line.remove_suffix(1);
    while (!line.empty() && (line.front() == '\n' || line.front() == '\r' || line.front() == ' '))
        line.remove_prefix(1);
    const auto isClean = [](char c) { return isPlain(c) || c == '\t'; };
    if (!std::all_of(line.begin(), line.end(), isClean)) return std::nullopt;
    if (!form.hasCheck) return std::string(line);
    if (line.size() < 3 || line[line.size() - 3] != '*') return std::nullopt;
    const std::string_view body = line.substr(0, line.size() - 3);
    if (line.substr(line.size() - 2) != checkOf(body)) return std::nullopt;
    return std::string(body);
}

/// What an exchange has seen so far.
struct LineTalk::Waiting {
    const DialectStep& step;
    std::string sent;
    long long id;
    double untilS, withinS;
    std::size_t next = 0;
    int busy = 0, echoes = 0;
    std::string odd;  ///< the first line that nobody asked for
    TalkResult result;
};

LineTalk::LineTalk(const Dialect& dialect, Wire& wire, Clock& clock)
    : dialect_(dialect), wire_(wire), clock_(clock) {
}

std::optional<std::string> LineTalk::nextLine() {
    const char last = dialect_.line.ends.back();
    const std::size_t end = received_.find(last);
    if (end == std::string::npos) {
        if (received_.size() <= dialect_.line.longest) return std::nullopt;
        std::string garbage;
        garbage.swap(received_);
        return "\x01" + garbage;  // too long for a line, whatever it says
    }
    std::string line = received_.substr(0, end);
    received_.erase(0, end + 1);
    return line.size() > dialect_.line.longest ? "\x01" + line : line;
}

bool LineTalk::isOneOf(const std::vector<ReplyPattern>& patterns, const std::string& body) const {
    return std::any_of(patterns.begin(), patterns.end(),
                       [&](const ReplyPattern& p) { return p.match(body); });
}

const DialectError* LineTalk::errorIn(const std::string& body, long long id) const {
    for (const DialectError& error : dialect_.errors) {
        const auto fields = error.reply.match(body);
        if (fields && (!fields->id || *fields->id == id)) return &error;
    }
    return nullptr;
}

bool LineTalk::isExpected(const std::string& body, Waiting& waiting) const {
    const auto fields = waiting.step.expect[waiting.next].match(body);
    if (!fields || (fields->id && *fields->id != waiting.id)) return false;
    if (fields->count && dialect_.count.replyDecimals &&
        fields->countDecimals != *dialect_.count.replyDecimals)
        return false;
    ReplyFields& known = waiting.result.fields;
    if (fields->count) known.count = fields->count;
    if (!fields->state.empty()) known.state = fields->state;
    return true;
}

/// True: this line ends the exchange.
bool LineTalk::judge(const std::string& line, Waiting& waiting) {
    TalkResult& result = waiting.result;
    const auto body = bodyOf(line, dialect_.line);
    const auto odd = [&] {
        result.isClean = false;
        if (waiting.odd.empty()) waiting.odd = line;
        return false;
    };
    if (!body) return odd();
    if (isOneOf(dialect_.restart, *body)) {
        result.end = TalkEnd::restarted;
        result.what = "the table has begun anew: it lost its power or was reset";
        return true;
    }
    if (*body == waiting.sent) {
        result.isClean = false;
        ++waiting.echoes;
        return false;
    }
    if (isOneOf(dialect_.stop.replies, *body) || isOneOf(dialect_.ignored, *body) || body->empty())
        return false;
    if (const DialectError* error = errorIn(*body, waiting.id)) {
        result.end = TalkEnd::error;
        result.error = error;
        result.what = fmt::format("the table says {}: {}", shown(*body), error->means);
        return true;
    }
    if (isExpected(*body, waiting)) {
        result.end = TalkEnd::answered;
        return ++waiting.next == waiting.step.expect.size();
    }
    if (isOneOf(dialect_.busy, *body)) {
        if (++waiting.busy <= mostBusy && waiting.step.within == Patience::reply)
            waiting.untilS = std::max(waiting.untilS, clock_.nowS() + waiting.withinS);
        return false;
    }
    return odd();
}

/// What came before anything was asked.
TalkResult LineTalk::strays() {
    TalkResult result;
    result.end = TalkEnd::answered;
    if (wire_.receive(0, received_) == WireState::dropped) result.end = TalkEnd::dropped;
    while (const auto line = nextLine()) {
        const auto body = bodyOf(*line, dialect_.line);
        if (body && isOneOf(dialect_.restart, *body)) result.end = TalkEnd::restarted;
    }
    if (result.end == TalkEnd::dropped) result.what = "the line to the table has dropped";
    if (result.end == TalkEnd::restarted)
        result.what = "the table has begun anew: it lost its power or was reset";
    return result;
}

namespace {

TalkResult ended(TalkResult result, TalkEnd end, std::string what) {
    result.end = end;
    result.what = std::move(what);
    return result;
}

}  // namespace

TalkResult LineTalk::exchange(const DialectStep& step, CommandValues values, double withinS,
                              const Sender& sender, const StopCheck& isStopped) {
    if (TalkResult before = strays(); before.end != TalkEnd::answered) return before;
    id_ = id_ % lastId + 1;
    values.id = id_;
    Waiting waiting{step, step.send.filled(values), id_, 0, withinS, 0, 0, 0, {}, {}};
    const auto sent = sender(framedLine(waiting.sent, dialect_.line));
    if (!sent) return ended({}, TalkEnd::stopped, "a stop was asked for");
    if (!*sent) return ended({}, TalkEnd::dropped, "the line to the table has dropped");
    if (step.expect.empty()) return ended({}, TalkEnd::answered, "");
    waiting.untilS = clock_.nowS() + withinS;
    for (bool isDropped = false;;) {
        while (const auto line = nextLine())
            if (judge(*line, waiting)) return waiting.result;
        if (isDropped) return ended(waiting.result, TalkEnd::dropped, "the line to the table has dropped");
        if (isStopped()) return ended(waiting.result, TalkEnd::stopped, "a stop was asked for");
        const double leftS = waiting.untilS - clock_.nowS();
        if (leftS <= 0) break;
        isDropped = wire_.receive(std::min(leftS, sliceS), received_) == WireState::dropped;
    }
    std::string what = fmt::format("no answer to {}", shown(waiting.sent));
    if (waiting.echoes > 0) what += ", only its echo";
    if (waiting.next > 0) what = fmt::format("only a part of the answer to {} came", shown(waiting.sent));
    if (!waiting.odd.empty()) what += fmt::format("; the table said {}", shown(waiting.odd));
    return ended(waiting.result, TalkEnd::silent, what);
}

TalkResult LineTalk::settle() {
    const double untilS = clock_.nowS() + longestSettlingS;
    TalkResult found;
    found.end = TalkEnd::answered;
    double quietFromS = clock_.nowS();
    while (clock_.nowS() < untilS && clock_.nowS() - quietFromS < dialect_.times.quietS) {
        const WireState state = wire_.receive(sliceS, received_);
        if (state == WireState::quiet) continue;
        const TalkResult seen = strays();
        if (seen.end == TalkEnd::dropped) return seen;
        if (seen.end == TalkEnd::restarted) found = seen;
        if (state == WireState::dropped)
            return ended({}, TalkEnd::dropped, "the line to the table has dropped");
        quietFromS = clock_.nowS();
    }
    received_.clear();  // the head of a line whose end never came
    return found;
}

}  // namespace volvelle
