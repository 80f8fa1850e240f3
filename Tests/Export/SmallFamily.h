#pragma once

#include "Families/Family.h"

namespace volvelle {

/// Three frequencies with numbers that are easy to tell apart; sound power is missing, the vertical orbit
/// too.
Family smallFamily();

}  // namespace volvelle
