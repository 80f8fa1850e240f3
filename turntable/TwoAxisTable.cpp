#include "turntable/TwoAxisTable.h"

#include <algorithm>
#include <utility>

namespace volvelle {

namespace {

TableFacts bothFacts(const TableFacts& table, const TableFacts& tilt) {
    TableFacts facts = table;
    facts.name = table.name + ", second axis " + tilt.name;
    facts.hasTilt = true;
    facts.readsBack = table.readsBack && tilt.readsBack;
    facts.lowestTiltDeg = tilt.lowestDeg;
    facts.highestTiltDeg = tilt.highestDeg;
    facts.speedDegPerS = std::min(table.speedDegPerS, tilt.speedDegPerS);
    facts.toleranceDeg = std::max(table.toleranceDeg, tilt.toleranceDeg);
    return facts;
}

}  // namespace

TwoAxisTable::TwoAxisTable(std::unique_ptr<Turntable> table, std::unique_ptr<Turntable> tilt)
    : table_(std::move(table)), tilt_(std::move(tilt)), facts_(bothFacts(table_->facts(), tilt_->facts())) {
}

TableResult TwoAxisTable::joined(const TableResult& table, const TableResult& tilt) const {
    const TablePose pose{table.pose.tableDeg, tilt.pose.tableDeg};
    if (!table.arrived()) return {table.outcome, pose, table.what};
    return {tilt.outcome, pose, tilt.arrived() ? "" : "second axis: " + tilt.what};
}

TableResult TwoAxisTable::home(std::stop_token stop) {
    const TableResult table = table_->home(stop);
    if (!table.arrived()) return joined(table, tilt_->where());
    return joined(table, tilt_->home(stop));
}

TableResult TwoAxisTable::moveTo(const TablePose& pose, std::stop_token stop) {
    const bool isWithin = pose.tiltDeg >= facts_.lowestTiltDeg && pose.tiltDeg <= facts_.highestTiltDeg;
    if (!isWithin) {  // before anything moves
        TableResult refused = where();
        refused.outcome = TableOutcome::refused;
        refused.what = "the second axis' soft limits leave that out";
        return refused;
    }
    const TableResult table = table_->moveTo({pose.tableDeg, 0}, stop);
    if (!table.arrived()) return joined(table, tilt_->where());
    return joined(table, tilt_->moveTo({pose.tiltDeg, 0}, stop));
}

TableResult TwoAxisTable::where() {
    return joined(table_->where(), tilt_->where());
}

void TwoAxisTable::stop() noexcept {
    table_->stop();
    tilt_->stop();
}

}  // namespace volvelle
