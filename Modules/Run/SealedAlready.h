#pragma once

#include "Run/PartFolder.h"

#include <string>

namespace volvelle {

// A process that was stopped after it had sealed a run, and before it had removed all parts, leaves both.

/// Error{output}: the run is sealed, there is nothing to go on with.
[[noreturn]] void failSealedAlready(const std::string& runPath);

/// Removes what was left of the parts once the sealed run is found to agree with all its digests and to hold
/// every one of them. Throws Error{damaged} where it does not agree, Error{output} naming a part that it does
/// not hold; then nothing is removed. The folder's lock has to be held.
void finishSealing(const std::string& runPath, PartFolder& folder);

}  // namespace volvelle
