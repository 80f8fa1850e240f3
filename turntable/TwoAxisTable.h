#pragma once

#include "turntable/Turntable.h"

#include <memory>

namespace volvelle {

/// A table and a second axis that raises and lowers the microphone's direction, each a Turntable of its own
/// (on a line of its own, or turned by hand). They move one after the other, the table first; stop() stops
/// both.
class TwoAxisTable final : public Turntable {
public:
    TwoAxisTable(std::unique_ptr<Turntable> table, std::unique_ptr<Turntable> tilt);

    const TableFacts& facts() const override { return facts_; }
    TableResult home(std::stop_token stop) override;
    TableResult moveTo(const TablePose& pose, std::stop_token stop) override;
    TableResult where() override;
    void stop() noexcept override;

private:
    TableResult joined(const TableResult& table, const TableResult& tilt) const;

    std::unique_ptr<Turntable> table_, tilt_;
    TableFacts facts_;
};

}  // namespace volvelle
