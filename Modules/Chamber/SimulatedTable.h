#pragma once

#include "Chamber/Interruption.h"
#include "Chamber/SceneFaults.h"
#include "Clock/Clock.h"
#include "Conductor/TableMovement.h"
#include "Run/Plan.h"
#include "Sphere/Direction.h"
#include "turntable/Turntable.h"

#include <cstdint>
#include <mutex>

namespace volvelle {

/// The table of a simulated chamber. Threads as Turntable says; standing() and believed() from any.
class SimulatedTable final : public Turntable {
public:
    SimulatedTable(const Plan& plan, const Scene& scene, std::uint64_t seed, Clock& clock);

    const TableFacts& facts() const override { return facts_; }
    TableResult home(std::stop_token stop) override;
    TableResult moveTo(const TablePose& pose, std::stop_token stop) override;
    TableResult where() override;
    void stop() noexcept override { interruption_.interrupt(); }

    /// Where it really stands now with the unit in this stance: position error, slip and swinging on
    /// included.
    TablePose standing(Stance stance) const;

    /// Where it is by its own count.
    TablePose believed() const;

private:
    TableResult result(TableOutcome outcome, const std::string& what) const;
    TableResult refused(const std::string& what) const { return result(TableOutcome::refused, what); }
    bool isWithin(const TablePose& pose) const;
    /// Towards a pose, all the way or a part of it. False: stopped on the way.
    bool travel(const TablePose& target, double part, const std::stop_token& stop);
    TableResult faultyMove(const SceneFault& fault, const TablePose& target, const std::stop_token& stop);
    TableResult lostOnTheWay(const SceneFault& fault, const TablePose& target, const std::stop_token& stop);
    double errorDeg(const TablePose& pose, std::uint64_t purpose) const;

    SceneTable table_;
    double remountingErrorDeg_;
    std::uint64_t seed_;
    Clock& clock_;
    TableFacts facts_;
    FaultScript script_;
    Interruption interruption_;

    mutable std::mutex mutex_;  ///< of what follows
    TablePose pose_{0, 0};
    double arrivedS_ = 0, slipDeg_ = 0;
    bool isHomed_ = false, isDead_ = false, hasMoved_ = false;
};

}  // namespace volvelle
