#pragma once

#include "Clock/Clock.h"
#include "turntable/Wire.h"

#include <deque>
#include <functional>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

namespace volvelle {

/// What may go wrong with a played table: on a movement the first four, on a line that it says the others.
enum class PlayedFault {
    none,
    stall,
    overshoot,
    powerLoss,
    noMove,
    garbage,
    late,
    echoed,
    cut,
    cutMiddle,
    doubled,
    silent,
    dropped
};

/// A table that is played: it turns at an even speed in the time that it is told, and speaks one of the two
/// dialects. Every method may be called by any thread.
class PlayedTable {
public:
    enum class Tongue { plain, rs274 };
    /// Called for each movement (true) and each line said (false).
    using FaultOf = std::function<PlayedFault(bool isMovement)>;

    PlayedTable(Tongue tongue, double speedDegPerS, FaultOf faultOf)
        : tongue_(tongue), speed_(speedDegPerS), faultOf_(std::move(faultOf)) {}

    void hear(std::string_view bytes, double nowS);
    std::string speak(double nowS);  ///< what is due
    bool isDropped() const;          ///< it has dropped its line
    void connect();                  ///< a new line: nothing of the old one is left

    double standsDeg(double nowS) const;  ///< really
    double turnsTo() const;               ///< where it will come to rest
    std::vector<double> commanded() const;
    void putAt(double deg);  ///< by hand, or before power-up

private:
    void obey(const std::string& line, double nowS);
    void obeyPlain(const std::string& line, double nowS);
    void obeyRs274(const std::string& line, double nowS);
    void begin(double toDeg, double nowS);
    void halt(double nowS);
    void say(const std::string& body, double nowS);
    void live(double nowS);
    double placeAt(double nowS) const;
    double endsS() const;

    const Tongue tongue_;
    const double speed_;
    FaultOf faultOf_;
    mutable std::mutex mutex_;
    std::string heard_, lastLine_;
    std::deque<std::string> waiting_;  ///< RS-274: lines behind one that is not done
    struct Said {
        double dueS;
        std::string bytes;
    };
    std::deque<Said> said_;
    double fromDeg_ = 0, toDeg_ = 0, beganS_ = 0, offsetDeg_ = 0;
    double powerGoneS_ = -1, backS_ = -1, blockedUntilS_ = -1;
    bool isHomed_ = false, isHoming_ = false, isStalled_ = false, isDropped_ = false;
    std::vector<double> commanded_;
};

/// A played table at the end of a wire without a port: time is the clock's.
class PlayedWire final : public Wire {
public:
    PlayedWire(PlayedTable& table, Clock& clock) : table_(table), clock_(clock) {}
    const std::string& name() const override { return name_; }
    std::string open() override;
    bool send(std::string_view bytes) noexcept override;
    WireState receive(double seconds, std::string& into) override;

private:
    std::string name_ = "a played table";
    PlayedTable& table_;
    Clock& clock_;
};

}  // namespace volvelle
