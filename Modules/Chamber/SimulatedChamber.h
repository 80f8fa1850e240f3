#pragma once

#include "Chamber/Scene.h"
#include "Clock/Clock.h"
#include "Conductor/Attendant.h"
#include "Conductor/AudioPath.h"
#include "Quantities/Air.h"
#include "Run/Plan.h"
#include "turntable/Turntable.h"

#include <cstdint>
#include <memory>

namespace volvelle {

/// An anechoic chamber, a turntable, an audio device, a person who turns the unit on its side, and an
/// invented unit: everything a plan is carried out on, by the exact field of caps on a rigid sphere. Time
/// passes on the clock that it is given: with a SimulatedClock at once, with a SystemClock as it would in a
/// chamber.
///
/// One seed gives one result: noise is drawn from (seed, label of the shot), position errors from (seed,
/// pose, stance), never from the order of events. What depends on when things happen is the temperature, the
/// table's swinging on, and the faults counted by shots or moves.
///
/// audioPath, turntable and attendant keep to the thread rules of their interfaces; everything else is of the
/// conductor's thread.
class SimulatedChamber {
public:
    /// Copies plan and scene; keeps the clock. Throws Error{input} where the two do not fit (see checkScene).
    SimulatedChamber(const Plan& plan, const Scene& scene, std::uint64_t seed, Clock& clock);
    ~SimulatedChamber();
    SimulatedChamber(const SimulatedChamber&) = delete;
    SimulatedChamber& operator=(const SimulatedChamber&) = delete;

    AudioPath& audioPath();
    Turntable& turntable();
    Attendant& attendant();

    /// The air now, as its sensors tell: that of the plan (20 °C, 50 %, 101.325 kPa where not stated) with
    /// the scene's drift since the chamber was made.
    Air airNow() const;

    /// Where the microphone really is, seen from the unit: what the sound of the next shot comes from. For
    /// tests and for the accuracy budget.
    struct Truth {
        Direction direction;
        double distanceM;
    };
    Truth truth() const;

private:
    struct Parts;
    std::unique_ptr<Parts> parts_;
};

}  // namespace volvelle
