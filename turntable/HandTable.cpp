#include "turntable/HandTable.h"

#include "Text/Number.h"

#include <fmt/format.h>

#include <cmath>
#include <utility>

namespace volvelle {

namespace {

TableFacts asByHand(TableFacts facts) {
    facts.hasTilt = false;
    facts.speedDegPerS = std::numeric_limits<double>::quiet_NaN();
    return facts;
}

}  // namespace

HandTable::HandTable(TableFacts facts, Turner& turner) : facts_(asByHand(std::move(facts))), turner_(turner) {
}

void HandTable::stop() noexcept {
    const std::scoped_lock lock(mutex_);
    current_.request_stop();
}

TableResult HandTable::turnTo(double deg, const std::string& request, const std::stop_token& stop) {
    std::stop_source mine;
    {
        const std::scoped_lock lock(mutex_);
        current_ = mine;
    }
    const std::stop_callback passOn(stop, [&mine] { mine.request_stop(); });
    const Turner::Answer answer = turner_.turn(request, facts_.readsBack, mine.get_token());
    if (mine.stop_requested() || !answer.isDone) {
        isHomed_ = false;  // nobody knows how far it was turned
        const bool asked = mine.stop_requested();
        return {asked ? TableOutcome::stopped : TableOutcome::refused,
                {},
                asked ? "a stop was asked for" : "the table was not turned"};
    }
    if (facts_.readsBack && !answer.readDeg) return {TableOutcome::lost, {}, "the scale was not read"};
    standsDeg_ = answer.readDeg.value_or(deg);
    if (std::abs(standsDeg_ - deg) <= facts_.toleranceDeg)
        return {TableOutcome::arrived, {standsDeg_, 0}, ""};
    return {TableOutcome::missed,
            {standsDeg_, 0},
            fmt::format("the scale shows {}°, not {}°", shortestText(standsDeg_), shortestText(deg))};
}

TableResult HandTable::home(std::stop_token stop) {
    isHomed_ = false;
    TableResult there =
        turnTo(0, "Turn the table to 0°, so that the unit's front faces the microphone", stop);
    isHomed_ = there.arrived();
    return there;
}

TableResult HandTable::moveTo(const TablePose& pose, std::stop_token stop) {
    const auto refused = [&](std::string what) {
        return TableResult{TableOutcome::refused, {standsDeg_, 0}, std::move(what)};
    };
    if (stop.stop_requested()) return {TableOutcome::stopped, {standsDeg_, 0}, "a stop was asked for"};
    if (!isHomed_) return refused("nobody said that the table stands at 0°: send it home first");
    if (pose.tiltDeg != 0) return refused("it has no second axis");
    if (!(pose.tableDeg >= facts_.lowestDeg && pose.tableDeg <= facts_.highestDeg))
        return refused(fmt::format("{}° lies outside the soft limits of {}° to {}°",
                                   shortestText(pose.tableDeg), shortestText(facts_.lowestDeg),
                                   shortestText(facts_.highestDeg)));
    const char* way = pose.tableDeg > standsDeg_ ? "on" : "back";
    TableResult there = turnTo(pose.tableDeg,
                               fmt::format("Turn the table {} to {}°, leave the chamber and shut the door",
                                           way, shortestText(pose.tableDeg)),
                               stop);
    if (!there.arrived() && there.outcome != TableOutcome::missed) isHomed_ = false;
    return there;
}

TableResult HandTable::where() {
    if (!isHomed_) return {TableOutcome::lost, {}, "nobody said where the table stands"};
    return {TableOutcome::arrived, {standsDeg_, 0}, ""};
}

}  // namespace volvelle
