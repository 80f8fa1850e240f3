#pragma once

#include "Clock/Clock.h"
#include "Conductor/CaptureTaker.h"
#include "Conductor/Conductor.h"
#include "Conductor/Itinerary.h"
#include "Conductor/Sitting.h"

namespace volvelle {

/// Time left of a run, in seconds: moves as long as they were so far, nothing doubtful, and the checks that are still
/// due. roundS: one sweep of each drive. legsLeft: legs that are not at their end.
double timeLeftS(const Plan& plan, const RunAccount& account, const Sitting& sitting, double roundS, int legsLeft);

/// What is shown of a capture that was just kept.
RunProgress progressOf(const Plan& plan, const RunAccount& account, const Stop& stop, const TakenCapture& taken,
                       double leftS);

/// What only the whole run allows to be said: states, remarks and drift go into the run, remarks into the account.
/// Throws Error{output} where they cannot be kept.
void judgeWhole(const Plan& plan, const CaptureTaker& taker, CapturesUnderWay& captures, const Clock& clock, RunAccount& account);

/// Times, drift, and what is still doubtful.
void closeAccount(const Sitting& sitting, const RunRecord& run, RunAccount& account);

}  // namespace volvelle
