#pragma once

#include "turntable/Turntable.h"

#include <limits>
#include <mutex>
#include <optional>
#include <stop_token>
#include <string>

namespace volvelle {

/// Whoever turns a table by hand. Called by the thread that moves the table.
class Turner {
public:
    virtual ~Turner() = default;

    struct Answer {
        bool isDone = false;            ///< false: they would not, or a stop was asked for
        std::optional<double> readDeg;  ///< what the scale shows now, where it was asked for and read
    };

    /// Says what is to be done and blocks until it is. wantsReading: the angle on the scale is asked for.
    virtual Answer turn(const std::string& request, bool wantsReading, std::stop_token stop) = 0;
};

/// A table that a person turns: it says which angle, and waits. Threads as Turntable says; stop() ends the
/// waiting through the token that the person's end was given.
class HandTable final : public Turntable {
public:
    /// facts: name, limits, tolerance, and readsBack: the scale is read after each move. turner: kept by
    /// reference.
    HandTable(TableFacts facts, Turner& turner);

    const TableFacts& facts() const override { return facts_; }
    TableResult home(std::stop_token stop) override;
    TableResult moveTo(const TablePose& pose, std::stop_token stop) override;
    TableResult where() override;
    void stop() noexcept override;

private:
    TableResult turnTo(double deg, const std::string& request, const std::stop_token& stop);

    TableFacts facts_;
    Turner& turner_;
    std::stop_source current_;
    bool isHomed_ = false;
    double standsDeg_ = std::numeric_limits<double>::quiet_NaN();
    std::mutex mutex_;  ///< of current_
};

}  // namespace volvelle
