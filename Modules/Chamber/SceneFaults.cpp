#include "Chamber/SceneFaults.h"

#include <cmath>

namespace volvelle {

namespace {

const std::vector<std::string>& names() {
    static const std::vector<std::string> all{
        "dropped-block",    "device-gone",      "stalled",      "rate-change",  "section-dead",
        "sections-swapped", "section-reversed", "bang",         "noise-burst",  "loopback-unplugged",
        "clipping",         "level-too-high",   "samples-lost", "table-stalls", "table-overshoots",
        "table-misses",     "table-silent",     "power-loss",   "table-slips",  "limit-refused"};
    return all;
}

bool isAboutSection(FaultKind kind) {
    return kind == FaultKind::sectionDead || kind == FaultKind::sectionsSwapped ||
           kind == FaultKind::sectionReversed;
}

void readWhen(const JsonObject& object, SceneFault& fault) {
    fault.atShot = object.wholeNumber("at_shot", 1, 1000000).value_or(0);
    fault.atMove = object.wholeNumber("at_move", 1, 1000000).value_or(0);
    if (const auto deg = object.number("at_table_deg", Range::between(-3600, 3600))) fault.atTableDeg = *deg;
    fault.atLabel = object.text("at_label").value_or("");
    const int stated =
        (fault.atShot > 0) + (fault.atMove > 0) + !std::isnan(fault.atTableDeg) + !fault.atLabel.empty();
    if (stated != 1)
        throw object.error("", stated == 0 ? "does not say when the fault comes" : "says twice when it comes",
                           "State one of at_shot, at_move, at_table_deg, at_label");
    const char* wrong = fault.isOfAudio() ? "at_move" : fault.atShot > 0 ? "at_shot" : "at_label";
    if (fault.isOfAudio() ? fault.atMove > 0 : fault.atShot > 0 || !fault.atLabel.empty())
        throw object.error(
            wrong, "does not suit this kind of fault",
            fault.isOfAudio() ? "Use at_shot, at_table_deg or at_label" : "Use at_move or at_table_deg");
    fault.times = object.wholeNumber("times", 0, 1000000).value_or(1);
}

/// The keys that not every kind has.
void readWhat(const JsonObject& object, SceneFault& fault) {
    const auto belongs = [&](std::string_view key, bool isThere, bool isItsOwn) {
        if (isThere && !isItsOwn) throw object.error(key, "does not suit this kind of fault", "Leave it out");
    };
    const bool isSwap = fault.kind == FaultKind::sectionsSwapped;
    fault.section = object.text("section", 64).value_or("");
    fault.otherSection = object.text("other_section", 64).value_or("");
    belongs("section", !fault.section.empty(), isAboutSection(fault.kind));
    belongs("other_section", !fault.otherSection.empty(), isSwap);
    if (isAboutSection(fault.kind) && fault.section.empty())
        throw object.error("section", "is missing", "Name the section that has the fault");
    if (isSwap && fault.otherSection.empty())
        throw object.error("other_section", "is missing", "Name the section that it is swapped with");
    const auto db = object.number("amount_db", Range::between(-60, 160));
    const auto deg = object.number("amount_deg", Range::between(0, 90));
    belongs("amount_db", db.has_value(), fault.isOfAudio());
    belongs("amount_deg", deg.has_value(), !fault.isOfAudio());
    if (db) fault.amountDb = *db;
    if (deg) fault.amountDeg = *deg;
}

}  // namespace

std::string faultName(FaultKind kind) {
    return names().at(static_cast<std::size_t>(kind));
}

SceneFault readFault(const JsonObject& object) {
    const auto kind = object.choice("kind", names());
    if (!kind) throw object.error("kind", "is missing", "Say what kind of fault it is");
    SceneFault fault{};
    fault.kind = static_cast<FaultKind>(*kind);
    readWhen(object, fault);
    readWhat(object, fault);
    object.finish();
    return fault;
}

bool FaultScript::isInForce(std::size_t fault, int number, int at, double tableDeg) {
    const SceneFault& what = faults_[fault];
    if (at > 0) return number >= at && (what.times == 0 || number < at + what.times);
    if (std::isnan(what.atTableDeg) || !(std::abs(what.atTableDeg - tableDeg) < 0.01)) return false;
    return what.times == 0 || ++met_[fault] <= what.times;
}

std::vector<SceneFault> FaultScript::ofShot(const std::string& label, double tableDeg) {
    ++shots_;
    std::vector<SceneFault> inForce;
    for (std::size_t i = 0; i < faults_.size(); ++i) {
        if (!faults_[i].isOfAudio()) continue;
        const bool isNamed = !faults_[i].atLabel.empty() && faults_[i].atLabel == label;
        const bool isWithin = isNamed && (faults_[i].times == 0 || ++met_[i] <= faults_[i].times);
        if (isWithin || isInForce(i, shots_, faults_[i].atShot, tableDeg)) inForce.push_back(faults_[i]);
    }
    return inForce;
}

std::vector<SceneFault> FaultScript::ofMove(double tableDeg) {
    ++moves_;
    std::vector<SceneFault> inForce;
    for (std::size_t i = 0; i < faults_.size(); ++i)
        if (!faults_[i].isOfAudio() && isInForce(i, moves_, faults_[i].atMove, tableDeg))
            inForce.push_back(faults_[i]);
    return inForce;
}

}  // namespace volvelle
