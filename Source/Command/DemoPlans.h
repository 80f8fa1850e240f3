#pragma once

namespace volvelle {

// The plans of the demonstration: invented units in simulated chambers.
const char* twoWayPlan();
const char* frontRearPlan();

}  // namespace volvelle
