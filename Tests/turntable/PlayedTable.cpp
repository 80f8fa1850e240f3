#include "turntable/PlayedTable.h"

#include "Text/Number.h"
#include "turntable/Dialect.h"
#include "turntable/LineTalk.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace volvelle {

namespace {

constexpr double answeringS = 0.004;
constexpr double lateS = 0.7;

LineForm formOf(PlayedTable::Tongue tongue) {
    LineForm form;
    form.hasCheck = tongue == PlayedTable::Tongue::plain;
    return form;
}

double numberAfter(const std::string& line, std::string_view mark) {
    const std::size_t at = line.find(mark) + mark.size();
    return parseNumber(line.substr(at, line.find(' ', at) - at)).value_or(1e6);
}

std::string spoilt(const std::string& line, PlayedFault fault) {
    switch (fault) {
        case PlayedFault::garbage:
            return "\x7f\xfe" + line.substr(line.size() / 2) + "\xff\n";
        case PlayedFault::cut:
            return line.substr(0, line.size() / 2);
        case PlayedFault::cutMiddle:
            return line.substr(0, line.size() / 2) + line.substr(line.size() / 2 + 2);
        case PlayedFault::doubled:
            return line + line;
        case PlayedFault::silent:
            return {};
        default:
            return line;
    }
}

}  // namespace

double PlayedTable::placeAt(double nowS) const {
    const double untilS = powerGoneS_ >= 0 ? std::min(nowS, powerGoneS_) : nowS;
    const double way = std::min(std::abs(toDeg_ - fromDeg_), speed_ * std::max(0.0, untilS - beganS_));
    return fromDeg_ + (toDeg_ < fromDeg_ ? -way : way);
}

double PlayedTable::endsS() const {
    return beganS_ + std::abs(toDeg_ - fromDeg_) / speed_;
}

double PlayedTable::standsDeg(double nowS) const {
    const std::scoped_lock lock(mutex_);
    return placeAt(nowS);
}

double PlayedTable::turnsTo() const {
    const std::scoped_lock lock(mutex_);
    return toDeg_;
}

std::vector<double> PlayedTable::commanded() const {
    const std::scoped_lock lock(mutex_);
    return commanded_;
}

void PlayedTable::putAt(double deg) {
    const std::scoped_lock lock(mutex_);
    fromDeg_ = toDeg_ = deg;
}

bool PlayedTable::isDropped() const {
    const std::scoped_lock lock(mutex_);
    return isDropped_;
}

void PlayedTable::connect() {
    const std::scoped_lock lock(mutex_);
    isDropped_ = false;
    heard_.clear();
    said_.clear();
}

void PlayedTable::halt(double nowS) {
    fromDeg_ = toDeg_ = placeAt(nowS);
    beganS_ = nowS;
    isHoming_ = isStalled_ = false;
}

void PlayedTable::begin(double toDeg, double nowS) {
    halt(nowS);
    const double way = toDeg - fromDeg_;
    switch (faultOf_(true)) {
        case PlayedFault::stall:
            toDeg_ = fromDeg_ + way / 2;
            isStalled_ = true;
            return;
        case PlayedFault::noMove:
            return;
        case PlayedFault::overshoot:
            toDeg_ = toDeg + (way < 0 ? -2 : 2);
            return;
        case PlayedFault::powerLoss:
            powerGoneS_ = nowS + std::abs(way) / speed_ / 2;
            backS_ = powerGoneS_ + 0.3;
            [[fallthrough]];
        default:
            toDeg_ = toDeg;
    }
}

void PlayedTable::say(const std::string& body, double nowS) {
    const PlayedFault fault = faultOf_(false);
    if (fault == PlayedFault::dropped) {
        isDropped_ = true;
        return;
    }
    std::string bytes = spoilt(framedLine(body, formOf(tongue_)), fault);
    if (fault == PlayedFault::echoed) bytes = lastLine_ + "\n" + bytes;
    double dueS = nowS + answeringS + (fault == PlayedFault::late ? lateS : 0);
    if (!said_.empty()) dueS = std::max(dueS, said_.back().dueS);
    said_.push_back({dueS, bytes});
}

/// What happens by itself: power goes and comes back, homing ends, lines behind a dwell are taken.
void PlayedTable::live(double nowS) {
    if (powerGoneS_ >= 0 && nowS >= powerGoneS_) {
        if (nowS < backS_) return;
        const double place = placeAt(nowS);
        fromDeg_ = toDeg_ = place;
        offsetDeg_ = -place;  // it counts from where it woke up
        powerGoneS_ = backS_ = blockedUntilS_ = -1;
        isHomed_ = isHoming_ = isStalled_ = false;
        waiting_.clear();
        heard_.clear();
        said_.clear();
        say(tongue_ == Tongue::plain ? "READY" : "start", nowS);
        return;
    }
    if (isHoming_ && nowS >= endsS()) {
        isHoming_ = false;
        isHomed_ = std::abs(toDeg_) < 1e-9;
    }
    while (!waiting_.empty() && nowS >= blockedUntilS_) {
        const std::string line = waiting_.front();
        waiting_.pop_front();
        obey(line, std::max(nowS, blockedUntilS_));
    }
}

void PlayedTable::hear(std::string_view bytes, double nowS) {
    const std::scoped_lock lock(mutex_);
    live(nowS);
    if (powerGoneS_ >= 0 && nowS >= powerGoneS_) return;
    heard_ += bytes;
    for (std::size_t end; (end = heard_.find('\n')) != std::string::npos; heard_.erase(0, end + 1)) {
        lastLine_ = heard_.substr(0, end);
        const auto body = bodyOf(lastLine_, formOf(tongue_));
        if (!body) continue;
        if (*body == "M410") {
            halt(nowS);
            waiting_.clear();
            blockedUntilS_ = -1;
            say("ok", nowS);
        } else if (nowS < blockedUntilS_) {
            waiting_.push_back(*body);
        } else {
            obey(*body, nowS);
        }
    }
}

void PlayedTable::obey(const std::string& line, double nowS) {
    if (tongue_ == Tongue::plain)
        obeyPlain(line, nowS);
    else
        obeyRs274(line, nowS);
}

void PlayedTable::obeyPlain(const std::string& line, double nowS) {
    if (line == "STOP") {
        halt(nowS);
        return say("STOPPED", nowS);
    }
    const std::string id = line.substr(0, line.find(' '));
    const std::string what = line.substr(std::min(line.size(), id.size() + 1));
    if (what == "HELLO") return say(id + " PLAIN 1", nowS);
    if (what == "AT") {
        const bool isMoving = nowS < endsS() || isStalled_;
        const char* state = !isHomed_ && !isHoming_ ? "NOTHOMED" : isMoving ? "MOVING" : "IDLE";
        return say(fmt::format("{} AT {} {}", id, fixedText(placeAt(nowS) + offsetDeg_, 3), state), nowS);
    }
    if (what == "HOME") {
        begin(0, nowS);
        offsetDeg_ = 0;
        isHoming_ = true;
        isHomed_ = false;
        return say(id + " OK", nowS);
    }
    if (!isHomed_) return say(id + " NO HOME", nowS);
    const double toDeg = numberAfter(what, "TO ");
    if (std::abs(toDeg) > 200) return say(id + " NO LIMIT", nowS);
    commanded_.push_back(toDeg);
    begin(toDeg - offsetDeg_, nowS);
    say(id + " OK", nowS);
}

void PlayedTable::obeyRs274(const std::string& line, double nowS) {
    if (line.starts_with("G1 ")) {
        commanded_.push_back(numberAfter(line, " A"));
        begin(commanded_.back() - offsetDeg_, nowS);
    } else if (line.starts_with("G28")) {
        begin(0, nowS);
        offsetDeg_ = 0;
    } else if (line.starts_with("G4") && nowS < endsS() && blockedUntilS_ < endsS()) {
        blockedUntilS_ = endsS();  // a dwell begins once the axis stands
        waiting_.push_front(line);
        return;
    } else if (line == "M114") {
        say(fmt::format("X:0.00 Y:0.00 A:{} Count X:0", fixedText(placeAt(nowS) + offsetDeg_, 2)), nowS);
    }
    say("ok", nowS);
}

std::string PlayedTable::speak(double nowS) {
    const std::scoped_lock lock(mutex_);
    live(nowS);
    std::string bytes;
    if (powerGoneS_ >= 0 && nowS >= powerGoneS_) return bytes;
    while (!said_.empty() && said_.front().dueS <= nowS) {
        bytes += said_.front().bytes;
        said_.pop_front();
    }
    return bytes;
}

std::string PlayedWire::open() {
    table_.connect();
    return {};
}

bool PlayedWire::send(std::string_view bytes) noexcept {
    if (table_.isDropped()) return false;
    table_.hear(bytes, clock_.nowS());
    return true;
}

WireState PlayedWire::receive(double seconds, std::string& into) {
    for (const double wait : {0.0, seconds}) {
        if (wait > 0) clock_.waitFor(wait, {});
        const std::string bytes = table_.speak(clock_.nowS());
        into += bytes;
        if (!bytes.empty()) return WireState::arrived;
        if (table_.isDropped()) return WireState::dropped;
    }
    return WireState::quiet;
}

}  // namespace volvelle
