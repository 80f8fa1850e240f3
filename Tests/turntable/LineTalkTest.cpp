#include "Clock/SimulatedClock.h"
#include "turntable/Dialects.h"
#include "turntable/LineTalk.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace volvelle {

namespace {

/// Bytes that come a certain time after something was sent.
struct Scripted {
    double afterS;
    std::string bytes;
};

/// A wire that is a script: no port, no time but the clock's.
class ScriptedWire final : public Wire {
public:
    ScriptedWire(Clock& clock, std::vector<Scripted> script) : clock_(clock), script_(std::move(script)) {}
    const std::string& name() const override { return name_; }
    std::string open() override { return {}; }
    bool send(std::string_view bytes) noexcept override {
        sent += bytes;
        sentS_ = clock_.nowS();
        return !isDropped;
    }
    WireState receive(double seconds, std::string& into) override {
        for (const double wait : {0.0, seconds}) {
            if (wait > 0) clock_.waitFor(wait, {});
            if (!sent.empty() && !script_.empty() && clock_.nowS() >= sentS_ + script_.front().afterS) {
                into += script_.front().bytes;
                script_.erase(script_.begin());
                return WireState::arrived;
            }
        }
        return isDropped || (dropsAtEnd && script_.empty() && !sent.empty()) ? WireState::dropped
                                                                             : WireState::quiet;
    }

    std::string sent, before;
    bool isDropped = false, dropsAtEnd = false;

private:
    std::string name_ = "script";
    Clock& clock_;
    std::vector<Scripted> script_;
    double sentS_ = 0;
};

struct Outcome {
    TalkResult result;
    std::string sent;
    double tookS;
};

Outcome talked(PlayedTable::Tongue tongue, const DialectStep& step, std::vector<Scripted> script,
               bool drops = false) {
    SimulatedClock clock(0);
    const Dialect dialect = shippedDialect(tongue);
    ScriptedWire wire(clock, std::move(script));
    wire.dropsAtEnd = drops;
    LineTalk talk(dialect, wire, clock);
    Outcome out{
        talk.exchange(
            step, dialect.valuesAt(45), dialect.times.replyS,
            [&](const std::string& bytes) { return std::optional(wire.send(bytes)); }, [] { return false; }),
        {},
        clock.nowS()};
    out.sent = wire.sent;
    if (out.result.error != nullptr) out.result.what += " [" + out.result.error->means + "]";
    out.result.error = nullptr;  // it ends with the dialect
    return out;
}

std::string checked(const std::string& body) {
    LineForm form;
    form.hasCheck = true;
    return framedLine(body, form);
}

const DialectStep& question(const Dialect& dialect) {
    return dialect.where.front();
}

struct Case {
    const char* name;
    std::vector<Scripted> script;
    TalkEnd end;
    std::optional<double> count;
    std::string says;  ///< a part of the message
    bool drops = false;
};

void expectCases(PlayedTable::Tongue tongue, const std::string& sent, const std::vector<Case>& cases) {
    const Dialect dialect = shippedDialect(tongue);
    for (const Case& one : cases) {
        SCOPED_TRACE(one.name);
        const Outcome out = talked(tongue, question(dialect), one.script, one.drops);
        EXPECT_EQ(out.sent, sent);
        EXPECT_EQ(out.result.end, one.end) << out.result.what;
        if (one.count) {
            EXPECT_EQ(out.result.fields.count, one.count);
        }
        EXPECT_NE(out.result.what.find(one.says), std::string::npos) << out.result.what;
        EXPECT_LE(out.tookS, dialect.times.replyS + 0.05);
    }
}

TEST(PlainExchange, EachReplyIsJudgedAsItIs) {
    const std::string good = checked("1 AT 45.000 IDLE");
    expectCases(PlayedTable::Tongue::plain, checked("1 AT"),
                {{"good", {{0.1, good}}, TalkEnd::answered, 45, ""},
                 {"in pieces", {{0.1, good.substr(0, 6)}, {0.3, good.substr(6)}}, TalkEnd::answered, 45, ""},
                 {"carriage return too",
                  {{0.1, "\r" + good.substr(0, good.size() - 1) + "\r\n"}},
                  TalkEnd::answered,
                  45,
                  ""},
                 {"echoed", {{0.1, checked("1 AT") + good}}, TalkEnd::answered, 45, ""},
                 {"only echoed", {{0.1, checked("1 AT")}}, TalkEnd::silent, {}, "only its echo"},
                 {"doubled", {{0.1, good + good}}, TalkEnd::answered, 45, ""},
                 {"late", {{1.5, good}}, TalkEnd::silent, {}, "no answer to '1 AT'"},
                 {"to another question",
                  {{0.1, checked("9998 AT 45.000 IDLE")}},
                  TalkEnd::silent,
                  {},
                  "'9998 AT 45.000 IDLE*"},
                 {"cut", {{0.1, good.substr(0, 8)}}, TalkEnd::silent, {}, "no answer"},
                 {"cut in the middle",
                  {{0.1, "1 AT 4.000 IDLE" + good.substr(good.size() - 4)}},
                  TalkEnd::silent,
                  {},
                  "no answer"},
                 {"cut number", {{0.1, checked("1 AT 45.00 IDLE")}}, TalkEnd::silent, {}, "no answer"},
                 {"garbage", {{0.1, "\xff\xfe\x80!!\n"}, {0.2, good}}, TalkEnd::answered, 45, ""},
                 {"garbage without end",
                  {{0.1, std::string(9000, 'x')}, {0.2, "\n" + good}},
                  TalkEnd::answered,
                  45,
                  ""},
                 {"error", {{0.1, checked("1 NO LIMIT")}}, TalkEnd::error, {}, "[a limit switch is closed"},
                 {"error of before", {{0.1, checked("7 NO LIMIT") + good}}, TalkEnd::answered, 45, ""},
                 {"power loss", {{0.1, checked("READY")}}, TalkEnd::restarted, {}, "lost its power"},
                 {"a stop's reply", {{0.1, checked("STOPPED") + good}}, TalkEnd::answered, 45, ""},
                 {"dropped", {}, TalkEnd::dropped, {}, "dropped", true},
                 {"dropped behind it", {{0.1, good}}, TalkEnd::answered, 45, "", true}});
}

TEST(Rs274Exchange, EachReplyIsJudgedAsItIs) {
    const std::string good = "X:0.00 A:45.00 Count X:0\nok\n";
    expectCases(
        PlayedTable::Tongue::rs274, "M114\n",
        {{"good", {{0.1, good}}, TalkEnd::answered, 45, ""},
         {"an ok of before", {{0.1, "ok\n" + good}}, TalkEnd::answered, 45, ""},
         {"echoed", {{0.1, "M114\r\n" + good}}, TalkEnd::answered, 45, ""},
         {"busy for a while", {{1.9, "echo:busy: processing\n"}, {1.95, good}}, TalkEnd::answered, 45, ""},
         {"half of it", {{0.1, "A:45.00\n"}}, TalkEnd::silent, {}, "only a part of the answer"},
         {"cut", {{0.1, "X:0.00 A:4"}}, TalkEnd::silent, {}, "no answer"},
         {"glued", {{0.1, "X:0.00 A:45.ok\n"}}, TalkEnd::silent, {}, "only a part"},
         {"late", {{2.5, good}}, TalkEnd::silent, {}, "no answer"},
         {"error", {{0.1, "error:9\n"}}, TalkEnd::error, {}, "did not understand"},
         {"power loss", {{0.1, "start\n"}}, TalkEnd::restarted, {}, "lost its power"},
         {"dropped", {}, TalkEnd::dropped, {}, "dropped", true}});
}

TEST(LineTalk, BusyDoesNotLastForEver) {
    const Dialect dialect = shippedDialect(PlayedTable::Tongue::rs274);
    std::vector<Scripted> script;
    for (int i = 1; i <= 200; ++i) script.push_back({1.5 * i, "busy\n"});
    const Outcome out = talked(PlayedTable::Tongue::rs274, question(dialect), script);
    EXPECT_EQ(out.result.end, TalkEnd::silent);
    EXPECT_LT(out.tookS, 90);
}

}  // namespace

}  // namespace volvelle
