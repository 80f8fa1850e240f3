#pragma once

#include "Command/Shell.h"

namespace volvelle {

/// Adds `plan picture`.
void addPlanPicture(CLI::App& plan, Shell& shell);

}  // namespace volvelle
