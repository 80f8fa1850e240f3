#include "Text/Error.h"
#include "Text/JsonReader.h"
#include "Text/Number.h"
#include "turntable/Dialect.h"

#include <cmath>

namespace volvelle {

namespace {

constexpr std::size_t longestLine = 200;
constexpr std::size_t most = 32;
const std::vector<std::string> outcomeNames{"refused", "stalled", "lost"};
const std::vector<std::string> patienceNames{"reply", "arrival", "homing"};
const std::vector<std::string> sideNames{"either", "from-below", "from-above"};
const std::vector<std::string> wayNames{"as-counted", "shorter-way"};

template <typename Made>
Made madeOf(const JsonObject& object, std::string_view key, const std::string& text) {
    if (text.empty()) throw object.error(key, "is empty", "Write the text, or leave the key out");
    try {
        return Made(text);
    } catch (const Error& error) {
        throw object.error(key, error.problem(), error.advice());
    }
}

std::string requiredText(const JsonObject& object, std::string_view key, const std::string& advice) {
    const auto text = object.text(key, longestLine);
    if (!text || text->empty()) throw object.error(key, "is missing", advice);
    return *text;
}

std::vector<ReplyPattern> patternsOf(const JsonObject& object, std::string_view key) {
    std::vector<ReplyPattern> patterns;
    for (const std::string& text : object.texts(key, most).value_or(std::vector<std::string>{})) {
        if (text.size() > longestLine)
            throw object.error(key, "has a text of more than 200 bytes", "Shorten it");
        patterns.push_back(madeOf<ReplyPattern>(object, key, text));
    }
    return patterns;
}

double numberOr(const JsonObject& object, std::string_view key, const Range& range, double otherwise) {
    return object.number(key, range).value_or(otherwise);
}

int wholeOr(const JsonObject& object, std::string_view key, int low, int high, int otherwise) {
    return object.wholeNumber(key, low, high).value_or(otherwise);
}

std::size_t choiceOr(const JsonObject& object, std::string_view key, const std::vector<std::string>& names) {
    return object.choice(key, names).value_or(0);
}

LineForm lineOf(const JsonObject& object) {
    static const std::vector<std::string> ends{"\n", "\r", "\r\n"}, names{"lf", "cr", "crlf"};
    LineForm form;
    form.ends = ends[choiceOr(object, "ends", names)];
    form.hasCheck = choiceOr(object, "check", {"none", "xor"}) == 1;
    form.longest = static_cast<std::size_t>(wholeOr(object, "longest", 16, 4096, 256));
    object.finish();
    return form;
}

SerialForm serialOf(const JsonObject& object) {
    SerialForm form;
    form.baud = wholeOr(object, "baud", 300, 4000000, form.baud);
    form.dataBits = wholeOr(object, "data_bits", 7, 8, form.dataBits);
    form.stopBits = wholeOr(object, "stop_bits", 1, 2, form.stopBits);
    form.parity = static_cast<SerialForm::Parity>(choiceOr(object, "parity", {"none", "even", "odd"}));
    form.flow = static_cast<SerialForm::Flow>(choiceOr(object, "flow", {"none", "rts-cts", "xon-xoff"}));
    object.finish();
    return form;
}

CountForm countOf(const JsonObject& object) {
    CountForm form;
    form.degreesPerCount =
        numberOr(object, "degrees_per_count", Range::between(1e-9, 360), form.degreesPerCount);
    form.sign = wholeOr(object, "sign", -1, 1, form.sign);
    if (form.sign == 0) throw object.error("sign", "is 0", "Write 1 or -1");
    form.zeroDeg = numberOr(object, "zero_deg", Range::between(-360, 360), form.zeroDeg);
    form.decimals = wholeOr(object, "decimals", 0, 6, form.decimals);
    form.replyDecimals = object.wholeNumber("reply_decimals", 0, 6);
    object.finish();
    return form;
}

TurningRules turningOf(const JsonObject& object) {
    TurningRules rules;
    rules.lowestDeg = numberOr(object, "lowest_deg", Range::between(-3600, 3600), rules.lowestDeg);
    rules.highestDeg = numberOr(object, "highest_deg", Range::between(-3600, 3600), rules.highestDeg);
    if (!(rules.lowestDeg < rules.highestDeg))
        throw object.error("highest_deg", "is not above lowest_deg", "Write the soft limits, lowest first");
    if (!rules.contains(0))
        throw object.error("", "leave out 0°, where homing ends",
                           "Choose limits that contain 0, or shift zero_deg");
    rules.approach = static_cast<ApproachSide>(choiceOr(object, "approach", sideNames));
    rules.approachDeg = numberOr(object, "approach_deg", Range::aboveTo(0, 30), rules.approachDeg);
    rules.goesShortWay = choiceOr(object, "turns", wayNames) == 1;
    object.finish();
    return rules;
}

void readSpeed(const JsonObject& object, Dialect& dialect) {
    dialect.speedDegPerS = numberOr(object, "deg_per_s", Range::between(0.01, 3600), dialect.speedDegPerS);
    dialect.speedPerDegPerS =
        numberOr(object, "per_deg_per_s", Range::between(1e-6, 1e9), dialect.speedPerDegPerS);
    dialect.speedDecimals = wholeOr(object, "decimals", 0, 6, dialect.speedDecimals);
    object.finish();
}

void readArrival(const JsonObject& object, Dialect& dialect) {
    dialect.toleranceDeg = numberOr(object, "tolerance_deg", Range::between(0.001, 10), dialect.toleranceDeg);
    dialect.overshootDeg = numberOr(object, "overshoot_deg", Range::between(0.1, 90), dialect.overshootDeg);
    dialect.times.settleS = numberOr(object, "settle_s", Range::between(0, 60), dialect.times.settleS);
    dialect.times.pollS = numberOr(object, "poll_s", Range::between(0.005, 10), dialect.times.pollS);
    object.finish();
}

void readTimes(const JsonObject& object, DialectTimes& times) {
    times.replyS = numberOr(object, "reply_s", Range::between(0.01, 60), times.replyS);
    times.homeS = numberOr(object, "home_s", Range::between(0.1, 3600), times.homeS);
    times.stallS = numberOr(object, "stall_s", Range::between(0.05, 60), times.stallS);
    times.marginS = numberOr(object, "margin_s", Range::between(0.05, 600), times.marginS);
    times.quietS = numberOr(object, "quiet_s", Range::between(0.01, 5), times.quietS);
    times.tries = wholeOr(object, "tries", 1, 10, times.tries);
    object.finish();
}

DialectStep stepOf(const JsonObject& object) {
    DialectStep step;
    step.send =
        madeOf<CommandTemplate>(object, "send", requiredText(object, "send", "Write the line to send"));
    step.expect = patternsOf(object, "expect");
    step.within = static_cast<Patience>(choiceOr(object, "within", patienceNames));
    object.finish();
    return step;
}

std::vector<DialectStep> stepsOf(const JsonObject& object, std::string_view key) {
    std::vector<DialectStep> steps;
    for (const JsonObject& one : object.objects(key, most)) steps.push_back(stepOf(one));
    return steps;
}

DialectStop stopOf(const JsonObject& object) {
    DialectStop stop;
    stop.send = requiredText(object, "send", "Write what stops the table at once");
    stop.hasLineEnd = object.boolean("line_end").value_or(true);
    stop.keepsZero = object.boolean("keeps_zero").value_or(true);
    stop.replies = patternsOf(object, "replies");
    object.finish();
    return stop;
}

DialectStates statesOf(const JsonObject& object) {
    const auto words = [&](std::string_view key) {
        auto found = object.texts(key, most).value_or(std::vector<std::string>{});
        for (const std::string& word : found)
            if (word.empty() || word.size() > longestLine)
                throw object.error(key, "has a word that is empty or longer than 200 bytes",
                                   "Write the words of {state}");
        return found;
    };
    DialectStates states{words("idle"), words("moving"), words("not_homed"), words("fault")};
    object.finish();
    return states;
}

std::vector<DialectError> errorsOf(const JsonObject& root) {
    static const TableOutcome outcomes[] = {TableOutcome::refused, TableOutcome::stalled, TableOutcome::lost};
    std::vector<DialectError> errors;
    for (const JsonObject& object : root.objects("errors", most)) {
        DialectError error{
            madeOf<ReplyPattern>(object, "reply", requiredText(object, "reply", "Write the reply")), {}, {}};
        const auto outcome = object.choice("outcome", outcomeNames);
        if (!outcome) throw object.error("outcome", "is missing", "Write refused, stalled or lost");
        error.outcome = outcomes[*outcome];
        error.means = requiredText(object, "means", "Say in plain words what the table means");
        object.finish();
        errors.push_back(std::move(error));
    }
    return errors;
}

/// Calls for each object that is there.
template <typename Read>
void with(const JsonObject& root, std::string_view key, const Read& read) {
    if (const auto object = root.object(key)) read(*object);
}

void readCommands(const JsonObject& root, Dialect& dialect) {
    dialect.begin = stepsOf(root, "begin");
    dialect.home = stepsOf(root, "home");
    dialect.move = stepsOf(root, "move");
    dialect.where = stepsOf(root, "where");
    const auto stop = root.object("stop");
    if (!stop) throw root.error("stop", "is missing", "A table that cannot be stopped is not turned");
    dialect.stop = stopOf(*stop);
    with(root, "states", [&](const JsonObject& o) { dialect.states = statesOf(o); });
    dialect.busy = patternsOf(root, "busy");
    dialect.restart = patternsOf(root, "restart");
    dialect.ignored = patternsOf(root, "ignored");
    dialect.errors = errorsOf(root);
}

bool anySends(const std::vector<DialectStep>& steps, std::string_view field) {
    for (const DialectStep& step : steps)
        if (step.send.has(field)) return true;
    return false;
}

int replyFieldsIn(const std::vector<DialectStep>& steps, std::string_view field) {
    int found = 0;
    for (const DialectStep& step : steps)
        for (const ReplyPattern& pattern : step.expect) found += pattern.has(field) ? 1 : 0;
    return found;
}

void checkQuestion(const JsonObject& root, const Dialect& dialect) {
    if (dialect.where.empty()) return;
    if (replyFieldsIn(dialect.where, "count") != 1)
        throw root.error("where", "has {count} in no reply, or in more than one",
                         "One reply tells the position");
    const bool tellsState = replyFieldsIn(dialect.where, "state") == 1;
    if (tellsState != dialect.states.any())
        throw root.error("states",
                         tellsState ? "names no idle words, but where asks for {state}"
                                    : "names words, but no reply of where has {state}",
                         "Write both, or neither");
}

void checkWhole(const JsonObject& root, const Dialect& dialect) {
    if (dialect.home.empty())
        throw root.error("home", "is missing", "Write the lines that send the table home");
    if (!anySends(dialect.move, "count"))
        throw root.error("move", "sends {count} nowhere", "Write where the table is to go");
    for (const DialectStep& step : dialect.where)
        if (step.expect.empty())
            throw root.error("where", "has a step that expects nothing", "Write the reply");
    checkQuestion(root, dialect);
    if (dialect.toleranceDeg < dialect.count.resolutionDeg() / 2)
        throw root.error("arrival", "has a tolerance finer than half of what can be sent",
                         "Send more decimals, or write at least " +
                             shortestText(dialect.count.resolutionDeg() / 2) + " as tolerance_deg");
    if (!dialect.turning.contains(dialect.count.zeroDeg))
        throw root.error("limits", "leave out zero_deg, the angle at which homing ends", "Widen them");
}

}  // namespace

Dialect parseDialect(std::string_view json, const std::string& source) {
    const JsonObject root = JsonObject::parse(json, source);
    Dialect dialect;
    root.text("$schema");
    dialect.name = requiredText(root, "name", "Give the dialect a name");
    with(root, "line", [&](const JsonObject& o) { dialect.line = lineOf(o); });
    with(root, "serial", [&](const JsonObject& o) { dialect.serial = serialOf(o); });
    with(root, "count", [&](const JsonObject& o) { dialect.count = countOf(o); });
    with(root, "limits", [&](const JsonObject& o) { dialect.turning = turningOf(o); });
    with(root, "speed", [&](const JsonObject& o) { readSpeed(o, dialect); });
    with(root, "arrival", [&](const JsonObject& o) { readArrival(o, dialect); });
    with(root, "times", [&](const JsonObject& o) { readTimes(o, dialect.times); });
    readCommands(root, dialect);
    root.finish();
    checkWhole(root, dialect);
    return dialect;
}

}  // namespace volvelle
