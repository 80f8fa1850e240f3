#include "Conductor/TableMovement.h"

#include <cmath>

namespace volvelle {

double TableMovement::durationS() const {
    if (!(acceleration > 0)) return way / speed;
    const double ramp = speed * speed / acceleration;  // way of speeding up and slowing down together
    return way >= ramp ? way / speed + speed / acceleration : 2 * std::sqrt(way / acceleration);
}

double TableMovement::wayAfter(double seconds) const {
    const double duration = durationS();
    if (seconds >= duration) return way;
    if (seconds <= 0) return 0;
    if (!(acceleration > 0)) return speed * seconds;
    if (seconds > duration / 2) return way - wayAfter(duration - seconds);
    const double rampS = speed / acceleration;
    if (seconds <= rampS) return acceleration * seconds * seconds / 2;
    return speed * (seconds - rampS / 2);
}

}  // namespace volvelle
