#include "turntable/LineTable.h"

#include "Text/Number.h"
#include "turntable/LineTableParts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace volvelle {

namespace {

constexpr double stoppingS = 5;  // for a table to come to rest

TableFacts factsOf(const Dialect& dialect, const Wire& wire) {
    TableFacts facts;
    facts.name = dialect.name + " at " + wire.name();
    facts.readsBack = dialect.readsBack();
    facts.lowestDeg = dialect.turning.lowestDeg;
    facts.highestDeg = dialect.turning.highestDeg;
    facts.speedDegPerS = dialect.speedDegPerS;
    facts.toleranceDeg = dialect.toleranceDeg;
    return facts;
}

bool isAmong(const std::string& word, const std::vector<std::string>& words) {
    return std::find(words.begin(), words.end(), word) != words.end();
}

}  // namespace

LineTable::LineTable(Dialect dialect, std::unique_ptr<Wire> wire, Clock& clock)
    : dialect_(std::move(dialect)),
      wire_(std::move(wire)),
      clock_(clock),
      talk_(dialect_, *wire_, clock_),
      facts_(factsOf(dialect_, *wire_)),
      stopBytes_(dialect_.stop.hasLineEnd ? framedLine(dialect_.stop.send, dialect_.line)
                                          : dialect_.stop.send),
      standsDeg_(unknownDeg) {
}

unsigned long LineTable::stopsSoFar() {
    const std::scoped_lock lock(sending_);
    return stops_;
}

void LineTable::stop() noexcept {
    const std::scoped_lock lock(sending_);
    ++stops_;
    wire_->send(stopBytes_);
}

TableResult LineTable::result(TableOutcome outcome, std::string what) const {
    return {outcome, {standsDeg_, 0}, std::move(what)};
}

double LineTable::wayS(double fromDeg, double toDeg) const {
    return std::abs(toDeg - fromDeg) / dialect_.speedDegPerS;
}

// ---- asking ----

LineTable::Reading LineTable::askOnce() {
    Reading reading;
    reading.atS = clock_.nowS();
    ReplyFields fields;
    for (const DialectStep& step : dialect_.where) {
        const TalkResult talk = talk_.exchange(
            step, dialect_.valuesAt(0), dialect_.times.replyS,
            [this](const std::string& bytes) { return std::optional(wire_->send(bytes)); },
            [] { return false; });
        reading.failure = failureOf(talk, Patience::reply);
        if (reading.failure) return reading;
        if (talk.fields.count) fields.count = talk.fields.count;
        if (!talk.fields.state.empty()) fields.state = talk.fields.state;
    }
    reading.angleDeg = dialect_.count.angleAt(fields.count.value_or(unknownDeg));
    const DialectStates& states = dialect_.states;
    if (isAmong(fields.state, states.idle))
        reading.state = Reading::idle;
    else if (isAmong(fields.state, states.moving))
        reading.state = Reading::moving;
    else if (isAmong(fields.state, states.notHomed))
        reading.state = Reading::notHomed;
    else if (isAmong(fields.state, states.fault))
        reading.state = Reading::fault;
    else if (states.any())
        reading.failure = lost("the table says '" + fields.state + "', which is none of its states");
    if (!(std::abs(reading.angleDeg) < 1e5))
        reading.failure = lost("the table tells an angle that cannot be");
    return reading;
}

/// Asks as often as the dialect says while there is no sensible answer. A restart or a dropped line ends it.
LineTable::Reading LineTable::ask() {
    Reading reading;
    for (int attempt = 0; attempt < dialect_.times.tries; ++attempt) {
        if (attempt > 0) {
            const TalkResult settled = talk_.settle();
            if (auto failure = failureOf(settled, Patience::reply)) {
                reading.failure = std::move(failure);
                return reading;
            }
        }
        reading = askOnce();
        if (!reading.failure || !isOpen_ || !isCurable_) return reading;
    }
    return reading;
}

std::optional<TableResult> LineTable::failureOf(const TalkResult& talk, Patience within) {
    isCurable_ = talk.end == TalkEnd::silent || talk.end == TalkEnd::answered;
    switch (talk.end) {
        case TalkEnd::answered:
            return std::nullopt;
        case TalkEnd::error:
            return TableResult{talk.error->outcome, {standsDeg_, 0}, talk.what};
        case TalkEnd::silent:
            return within == Patience::arrival
                       ? result(TableOutcome::stalled, "it did not arrive in time: " + talk.what)
                       : lost(talk.what);
        case TalkEnd::dropped:
            isOpen_ = false;
            return lost(talk.what);
        case TalkEnd::stopped:
            return result(TableOutcome::stopped, talk.what);
        case TalkEnd::restarted:
            return lost(talk.what);
    }
    return lost(talk.what);
}

// ---- telling ----

/// Nothing where all steps were answered.
std::optional<TableResult> LineTable::say(const std::vector<DialectStep>& steps, double angleDeg,
                                          double arrivalS, Errand& errand, bool& waitedForArrival) {
    bool hasBegun = false;
    for (const DialectStep& step : steps) {
        const double withinS = step.within == Patience::reply     ? dialect_.times.replyS
                               : step.within == Patience::arrival ? arrivalS
                                                                  : dialect_.times.homeS;
        const TalkResult talk = talk_.exchange(
            step, dialect_.valuesAt(angleDeg), withinS,
            [&](const std::string& bytes) { return errand.send(bytes); }, [&] { return errand.isStopped(); });
        if (auto failure = failureOf(talk, step.within)) {
            const bool mayHaveMoved = hasBegun && failure->outcome == TableOutcome::refused;
            if (mayHaveMoved) failure->outcome = TableOutcome::stalled;
            return failure;
        }
        hasBegun = true;
        if (!talk.isClean && !dialect_.readsBack())
            return lost(
                "the table said something that was not asked, and it cannot be asked where it stands");
        waitedForArrival = waitedForArrival || step.within != Patience::reply;
    }
    return std::nullopt;
}

TableResult LineTable::connect() {
    for (int attempt = 0; attempt < 2; ++attempt) {  // the second where the line turns out to have dropped
        if (!isOpen_) {
            isHomed_ = false;
            if (const std::string problem = wire_->open(); !problem.empty()) return lost(problem);
            isOpen_ = true;
        }
        const auto failure = failureOf(talk_.settle(), Patience::reply);
        if (isOpen_) break;
        if (attempt > 0) return *failure;
    }
    TableResult problem = result(TableOutcome::arrived, "");
    for (int attempt = 0; attempt < dialect_.times.tries; ++attempt) {
        std::optional<TableResult> failure;
        for (const DialectStep& step : dialect_.begin) {
            failure =
                failureOf(talk_.exchange(
                              step, dialect_.valuesAt(0), dialect_.times.replyS,
                              [this](const std::string& bytes) { return std::optional(wire_->send(bytes)); },
                              [] { return false; }),
                          Patience::reply);
            if (failure) break;
        }
        if (!failure) return result(TableOutcome::arrived, "");
        problem = *failure;
        if (!isOpen_) break;
        talk_.settle();
    }
    return lost(problem.what);
}

// ---- what can be asked of it ----

TableResult LineTable::runHome(Errand& errand) {
    isHomed_ = false;
    if (TableResult connected = connect(); !connected.arrived()) return connected;
    if (errand.isStopped()) return result(TableOutcome::stopped, "a stop was asked for");
    const double zeroDeg = dialect_.count.angleAt(0);
    bool waited = false;
    const double beganS = clock_.nowS();
    if (auto failure = say(dialect_.home, zeroDeg, dialect_.times.homeS, errand, waited)) return *failure;
    if (!dialect_.readsBack()) return awaitBlindly(dialect_.times.homeS, zeroDeg, waited, errand);
    Watch watch{unknownDeg, zeroDeg, true, waited, beganS + dialect_.times.homeS, clock_.nowS(), unknownDeg};
    return awaitArrival(watch, errand);
}

TableResult LineTable::home(std::stop_token stop) {
    Errand errand(*this, stop);
    TableResult found =
        errand.isStopped() ? result(TableOutcome::stopped, "a stop was asked for") : runHome(errand);
    if (!found.arrived()) return afterFailure(std::move(found));
    isHomed_ = true;
    if (std::abs(standsDeg_) <= dialect_.toleranceDeg) return found;
    TableResult atZero = runMove(0, errand);
    return atZero.arrived() ? atZero : afterFailure(std::move(atZero));
}

/// Where it stands before a move: where it was left, or something is wrong.
std::optional<TableResult> LineTable::leave(double& fromDeg) {
    fromDeg = standsDeg_;
    if (!dialect_.readsBack()) return std::nullopt;
    const Reading reading = ask();
    if (reading.failure) return reading.failure;
    if (reading.state == Reading::notHomed)
        return lost("the table does not know where it stands: it lost its power or its count");
    if (reading.state == Reading::fault) return lost("the table reports a fault of its own");
    if (!(std::abs(reading.angleDeg - standsDeg_) <= 2 * dialect_.toleranceDeg))
        return lost(fmt::format("it was left at {} and says {}: something turned it, or it lost its count",
                                degreesText(standsDeg_), degreesText(reading.angleDeg)));
    fromDeg = reading.angleDeg;
    return std::nullopt;
}

TableResult LineTable::runLeg(double fromDeg, double toDeg, Errand& errand) {
    const double beganS = clock_.nowS();
    const double longestS = 1.5 * wayS(fromDeg, toDeg) + dialect_.times.marginS;
    bool waited = false;
    if (auto failure = say(dialect_.move, toDeg, longestS, errand, waited)) return *failure;
    if (!dialect_.readsBack()) return awaitBlindly(wayS(fromDeg, toDeg), toDeg, waited, errand);
    Watch watch{fromDeg,       toDeg,  false, waited, beganS + longestS + dialect_.times.settleS,
                clock_.nowS(), fromDeg};
    return awaitArrival(watch, errand);
}

TableResult LineTable::runMove(double targetDeg, Errand& errand) {
    double fromDeg = standsDeg_;
    if (auto failure = leave(fromDeg)) return *failure;
    const double lowest = dialect_.turning.lowestDeg, highest = dialect_.turning.highestDeg;
    if (fromDeg < lowest - dialect_.toleranceDeg || fromDeg > highest + dialect_.toleranceDeg)
        return result(TableOutcome::refused,
                      fmt::format("it stands at {}, outside its soft limits", degreesText(fromDeg)));
    TableResult there = result(TableOutcome::arrived, "");
    bool hasMoved = false;
    for (const double leg : legsOf(std::clamp(fromDeg, lowest, highest), targetDeg, dialect_.turning)) {
        there = runLeg(fromDeg, leg, errand);
        if (!there.arrived()) return hasMoved ? asOfMoving(there) : there;
        fromDeg = standsDeg_;
        hasMoved = true;
    }
    return there;
}

TableResult LineTable::moveTo(const TablePose& pose, std::stop_token stop) {
    Errand errand(*this, stop);
    if (errand.isStopped()) return result(TableOutcome::stopped, "a stop was asked for");
    if (!isHomed_)
        return result(TableOutcome::refused,
                      "the table does not know where it stands: it has to be sent home first");
    if (pose.tiltDeg != 0) return result(TableOutcome::refused, "it has no second axis");
    if (!dialect_.turning.contains(pose.tableDeg))
        return result(
            TableOutcome::refused,
            fmt::format("{}° lies outside the soft limits of {}° to {}°", shortestText(pose.tableDeg),
                        shortestText(dialect_.turning.lowestDeg), shortestText(dialect_.turning.highestDeg)));
    TableResult there = runMove(pose.tableDeg, errand);
    return there.arrived() ? there : afterFailure(std::move(there));
}

/// Whatever went wrong, the table stands still afterwards, and is homed before it turns again.
TableResult LineTable::afterFailure(TableResult found) {
    if (found.outcome == TableOutcome::refused) return found;
    if (found.outcome == TableOutcome::stopped) return afterStop();
    isHomed_ = false;
    if (isOpen_) {
        wire_->send(stopBytes_);
        talk_.settle();
    }
    return found;
}

TableResult LineTable::afterStop() {
    TableResult stopped = result(TableOutcome::stopped, "a stop was asked for");
    const auto notKnown = [&] {
        isHomed_ = false;
        stopped.pose.tableDeg = unknownDeg;
        return stopped;
    };
    if (!isOpen_) return notKnown();
    wire_->send(stopBytes_);  // once more: the first may have met a line that was being opened
    if (failureOf(talk_.settle(), Patience::reply) || !dialect_.readsBack()) return notKnown();
    const double untilS = clock_.nowS() + stoppingS;
    for (std::optional<double> before; clock_.nowS() < untilS;) {
        const Reading reading = ask();
        if (reading.failure || reading.state == Reading::notHomed || reading.state == Reading::fault)
            return notKnown();
        if (before && reading.state != Reading::moving &&
            std::abs(*before - reading.angleDeg) <= dialect_.toleranceDeg / 2) {
            standsDeg_ = stopped.pose.tableDeg = reading.angleDeg;
            isHomed_ = isHomed_ && dialect_.stop.keepsZero;
            return stopped;
        }
        before = reading.angleDeg;
        clock_.waitFor(dialect_.times.pollS, {});
    }
    return notKnown();
}

TableResult LineTable::where() {
    if (!isOpen_) {
        if (TableResult connected = connect(); !connected.arrived()) return connected;
    }
    if (!dialect_.readsBack())
        return isHomed_ ? result(TableOutcome::arrived, "")
                        : lost("the table cannot be asked where it stands");
    const Reading reading = ask();
    if (reading.failure) {
        isHomed_ = false;
        return *reading.failure;
    }
    const bool knows = reading.state != Reading::notHomed && reading.state != Reading::fault;
    if (!knows) isHomed_ = false;
    if (isHomed_) return {TableOutcome::arrived, {reading.angleDeg, 0}, ""};
    return {TableOutcome::lost,
            {reading.angleDeg, 0},
            reading.state == Reading::fault
                ? "the table reports a fault of its own"
                : "it counts " + degreesText(reading.angleDeg) + ", but was not sent home"};
}

TableResult LineTable::trustItsCount() {
    if (TableResult connected = connect(); !connected.arrived()) return connected;
    if (!dialect_.readsBack()) return lost("the table cannot be asked where it stands");
    const Reading reading = ask();
    if (reading.failure) return *reading.failure;
    if (reading.state == Reading::notHomed || reading.state == Reading::fault)
        return lost("the table itself says that it does not know where it stands");
    standsDeg_ = reading.angleDeg;
    isHomed_ = true;
    return result(TableOutcome::arrived, "");
}

}  // namespace volvelle
